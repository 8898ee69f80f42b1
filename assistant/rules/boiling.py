"""The boiling point of water by altitude, for checking a probe."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from functools import cache
from itertools import pairwise

from assistant.rules.basis import Citation
from assistant.rules.tables import read_table

BOILING_SOURCE = Citation("altitude chart for thermometer checks", "boiling point", note="weather: about 1F")

FALL_PER_FOOT = Fraction(9, 5000)


@cache
def boiling_table() -> tuple[tuple[int, Decimal], ...]:
    """Return the altitude chart: feet above the sea and the boiling point of water in Fahrenheit."""
    return tuple((int(row["altitude_ft"]), Decimal(row["boiling_f"])) for row in read_table("boiling_point"))


def boiling_point(altitude_feet: Decimal) -> Fraction:
    """Return the boiling point of water in Fahrenheit, by a straight line between rows of the chart.

    Beyond the chart it falls 0.9 degrees in 500 feet (derived from the chart; within half a degree of the
    standard atmosphere from 1,500 feet below the sea to 15,000 above).
    """
    chart, height = boiling_table(), Fraction(altitude_feet)
    for (low, at_low), (high, at_high) in pairwise(chart):
        if low <= height <= high:
            share = (height - low) / (high - low)
            return Fraction(at_low) + share * (Fraction(at_high) - Fraction(at_low))
    nearest, degrees = chart[0] if height < chart[0][0] else chart[-1]
    return Fraction(degrees) - (height - nearest) * FALL_PER_FOOT
