"""Each place's readings over time, with the limits that were in force, ready for a chart."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import cast

from assistant.logbook.entry import Limits
from assistant.logbook.views import Line
from assistant.manager import shown
from assistant.manager.chart import Chart, Frame, Mark, Step, day_ticks, draw
from assistant.rules.basis import Temperature, TemperatureUnit
from assistant.site import Site

LONGEST_GAP = 36 * 3600.0
"""Seconds: a day without a reading leaves a gap in the line, which says nothing about what was in between."""


@dataclass(frozen=True, slots=True)
class Series:
    """All readings of one place and kind of measurement, in order, in one unit."""

    kitchen: str
    subject: str
    name: str
    measured: str
    unit: str
    lines: tuple[Line, ...]

    @property
    def label(self) -> str:
        """What was measured and in which unit ("air, °F", "ppm")."""
        unit = f"°{self.unit}" if self.unit in shown.DEGREES else self.unit
        return ", ".join(dict.fromkeys(part for part in (self.measured, unit) if part))

    @property
    def values(self) -> tuple[float, ...]:
        """The values in ``unit``."""
        return tuple(_in(line.now.value or "0", line.now.unit, self.unit) for line in self.lines)

    @property
    def failed(self) -> int:
        """How many failed."""
        return sum(line.now.verdict == "fail" for line in self.lines)

    @property
    def summary(self) -> str:
        """One sentence: how many, lowest, highest, failed."""
        low, high = (shown.with_unit(shown.plain(end(self.values)), self.unit) for end in (min, max))
        count = f"{len(self.lines)} reading{'s' if len(self.lines) != 1 else ''}"
        return f"{count}, lowest {low}, highest {high}; {self.failed or 'none'} failed."


def series_of(lines: Iterable[Line], site: Site) -> tuple[Series, ...]:
    """Group standing readings with a value by kitchen, place and kind; the place's own order is kept.

    Cooling is left out: it has curves of its own.
    """
    groups: dict[tuple[str, str, str, bool], list[Line]] = {}
    for line in lines:
        entry = line.now
        if entry.kind != "reading" or line.withdrawn or entry.value is None or entry.measured == "cooling":
            continue
        warm = entry.unit in shown.DEGREES
        groups.setdefault((line.site, entry.subject, entry.measured, warm), []).append(line)
    found = []
    for (kitchen, subject, measured, warm), members in groups.items():
        members.sort(key=lambda line: shown.moment(line.now))
        unit = site.kitchen.units if warm else members[-1].now.unit
        name = shown.capital(site.spoken_name(subject))
        found.append(Series(kitchen, subject, name, measured, unit, tuple(members)))
    order = {item.id: number for number, item in enumerate(site.equipment)}
    return tuple(sorted(found, key=lambda series: (series.kitchen, _rank(series, site, order))))


def chart_of(series: Series, first: datetime, last: datetime, frame: Frame | None = None) -> Chart:
    """Return the chart of a series over an axis from ``first`` to ``last``, with its limits drawn."""
    zero = first.timestamp()
    marks = [
        Mark(shown.moment(line.now).timestamp() - zero, value, line.now.verdict or "", _text(line))
        for line, value in zip(series.lines, series.values, strict=True)
    ]
    end = last.timestamp() - zero
    labels = [(at.timestamp() - zero, text) for at, text in day_ticks(first, last)]
    unit = "°" if series.unit in shown.DEGREES else ""
    return draw(
        marks, _steps(series, marks, end), (0, end), labels, unit=unit, frame=frame, longest_gap=LONGEST_GAP
    )


def _rank(series: Series, site: Site, order: dict[str, int]) -> tuple[int, str, str]:
    item = site.equipment_by_id(series.subject)
    return (order[item.id] if item else len(order), series.subject, series.measured)


def _text(line: Line) -> str:
    at = shown.moment(line.now)
    return f"{shown.short_day(at.date())} {shown.clock(at)}: {shown.value(line.now)} {shown.verdict(line)}"


def _in(value: str, unit: str, wanted: str) -> float:
    if unit == wanted or unit not in shown.DEGREES or wanted not in shown.DEGREES:
        return float(value)
    degrees = Temperature(Decimal(value), cast(TemperatureUnit, unit))
    return float(degrees.in_unit(cast(TemperatureUnit, wanted)))


def _steps(series: Series, marks: list[Mark], end: float) -> list[Step]:
    """Return one step a stretch of readings that were judged by the same limit."""
    steps: list[Step] = []
    for which in ("low", "high"):
        stretch: tuple[float, Limits] | None = None
        for line, mark in zip(series.lines, marks, strict=True):
            limits = line.now.limits
            if limits is None or getattr(limits, which) is None:
                continue
            if stretch and stretch[1] != limits:
                steps.append(_step(series, which, *stretch, mark.x))
                stretch = (mark.x, limits)
            stretch = stretch or (0.0, limits)
        if stretch:
            steps.append(_step(series, which, *stretch, end))
    return steps


def _step(series: Series, which: str, start: float, limits: Limits, end: float) -> Step:
    value = getattr(limits, which)
    word = "lowest" if which == "low" else "highest"
    return Step(
        start, end, _in(value, limits.unit, series.unit), f"{word} {shown.with_unit(value, limits.unit)}"
    )
