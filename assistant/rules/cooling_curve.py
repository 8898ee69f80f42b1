"""A cooling as a series of readings: when its clock started and when it came down to a temperature.

Between readings the temperature is taken as a straight line. Cooling food follows a curve that sags
below that line, so the line never makes it cooler than it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from assistant.rules.basis import Limit, Temperature
from assistant.rules.compare import colder_than, limit_unit, warmer_than

Hours = Decimal | Fraction
"""Exact hours since any zero of the caller's."""


@dataclass(frozen=True, slots=True)
class CoolingReading:
    """One reading of the food: hours since any zero of the caller's, and the temperature."""

    hours: Hours
    temperature: Temperature


@dataclass(frozen=True, slots=True)
class ClockStart:
    """When the cooling clock started: the bounds in hours (equal if known), and whether it was seen."""

    earliest: Fraction
    latest: Fraction
    seen: bool


@dataclass(frozen=True, slots=True)
class Crossing:
    """When the food came down to a temperature for good: at the earliest, and by the straight line."""

    earliest: Fraction
    by_line: Fraction


def hours_between(zero: datetime, then: datetime) -> Fraction:
    """Return the exact hours from ``zero`` to ``then``, aware times across changes of the clocks."""
    if zero.tzinfo is not None and then.tzinfo is not None:
        zero, then = zero.astimezone(UTC), then.astimezone(UTC)
    return Fraction((then - zero) // timedelta(microseconds=1), 3_600_000_000)


def ordered(readings: Sequence[CoolingReading]) -> list[CoolingReading]:
    """Return readings by time, of two at the same time the warmer; raises ``ValueError`` for none."""
    if not readings:
        raise ValueError("cooling needs at least one reading")
    series: list[CoolingReading] = []
    for reading in sorted(readings, key=lambda reading: reading.hours):
        if not series or series[-1].hours != reading.hours:
            series.append(reading)
        elif reading.temperature.in_unit("F") > series[-1].temperature.in_unit("F"):
            series[-1] = reading
    return series


def below_start(temperature: Temperature, start: Limit) -> bool:
    """Return whether food has passed ``start``; a whole Celsius reading is held against the printed Celsius.

    FDA Food Code 2022, 3-501.14(A)(1) prints "57ºC (135ºF)": 57 is the mark, though 134.6 is below 135.
    """
    if temperature.unit == "C" and start.unit == "F":
        return temperature.value < round(start.temperature.in_unit("C"))
    return colder_than(temperature, start)


def clock_start(series: Sequence[CoolingReading], start: Limit) -> ClockStart | None:
    """Return when the food passed ``start``, or ``None`` while every reading is above it.

    It lies between the last reading before the food was seen below and that reading; food first seen
    below it has been cooling for an unknown time, and its clock starts at the first reading.
    """
    for index, reading in enumerate(series):
        if not below_start(reading.temperature, start):
            continue
        here = Fraction(reading.hours)
        if index == 0:
            return ClockStart(here, here, seen=False)
        before = series[index - 1]
        known = not warmer_than(before.temperature, start)
        earliest = Fraction(before.hours)
        return ClockStart(earliest, earliest if known else here, seen=True)
    last = series[-1]
    if warmer_than(last.temperature, start):
        return None
    return ClockStart(Fraction(last.hours), Fraction(last.hours), seen=True)


def crossing(series: Sequence[CoolingReading], limit: Limit) -> Crossing | None:
    """Return when the food came down to ``limit`` for good, or ``None`` while it is still above it."""
    last = len(series) - 1
    while last >= 0 and not warmer_than(series[last].temperature, limit):
        last -= 1
    if last == -1:
        return Crossing(Fraction(series[0].hours), Fraction(series[0].hours))
    if last == len(series) - 1:
        return None
    after = Fraction(series[last + 1].hours)
    if not colder_than(series[last + 1].temperature, limit):
        return Crossing(after, after)
    before, unit = Fraction(series[last].hours), limit_unit(limit)
    warm, cool = (each.temperature.in_unit(unit) for each in series[last : last + 2])
    share = (warm - Fraction(limit.value)) / (warm - cool)
    return Crossing(before, before + share * (after - before))
