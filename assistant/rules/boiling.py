"""The boiling point of water by altitude, for checking a probe."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from functools import cache
from itertools import pairwise

from assistant.rules.basis import Citation
from assistant.rules.tables import read_table

BOILING_SOURCE = Citation("altitude chart for thermometer checks", "boiling point", note="weather: about 1F")
RULE_FEET_PER_DEGREE = 550
"""Rule of thumb: water boils one degree Fahrenheit lower for each 550 feet (extension text, READ)."""


@cache
def boiling_table() -> tuple[tuple[int, Decimal], ...]:
    """Return the altitude chart: feet above the sea and the boiling point of water in Fahrenheit."""
    return tuple((int(row["altitude_ft"]), Decimal(row["boiling_f"])) for row in read_table("boiling_point"))


def boiling_point(altitude_feet: Decimal) -> Fraction:
    """Return the boiling point of water in Fahrenheit, by a straight line between rows of the chart.

    Beyond the chart the line through its last two rows goes on (derived: within half a degree from
    1,500 feet below the sea to 15,000 above).
    """
    chart = boiling_table()
    height = Fraction(altitude_feet)
    pairs = list(pairwise(chart))
    (low, at_low), (high, at_high) = next((pair for pair in pairs if height <= pair[1][0]), pairs[-1])
    share = (height - low) / (high - low)
    return Fraction(at_low) + share * (Fraction(at_high) - Fraction(at_low))


def boiling_rule_of_thumb(altitude_feet: Decimal) -> Fraction:
    """Return the rough boiling point in Fahrenheit: one degree lower for each 550 feet."""
    return 212 - Fraction(altitude_feet) / RULE_FEET_PER_DEGREE
