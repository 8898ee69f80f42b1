"""Cooling batches found in the log: their readings, the verdict of the rules, the fitted curve."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import cast

from assistant.logbook.views import Line
from assistant.manager import shown
from assistant.manager.chart import Chart, Frame, Mark, Step, draw
from assistant.rules.basis import Judgement, Temperature, TemperatureUnit
from assistant.rules.cooling import CoolingLimits, judge_cooling, next_limit
from assistant.rules.cooling_curve import CoolingReading, hours_between
from assistant.rules.cooling_fit import CoolingFit, fit_cooling
from assistant.rules.cooling_forecast import Forecast, forecast_cooling
from assistant.site import Site

LONGEST = timedelta(hours=12)
"""A reading so long after the last one belongs to another batch."""
_SINCE = re.compile(r"(\d+(?:\.\d+)?) h after ")
_REASONS = {
    "cooled": "Cooled in time.",
    "cooling": "Still cooling.",
    "not_started": "Not below the start of cooling yet.",
    "stage_one_too_long": "The first stage took too long.",
    "stage_two_too_long": "The second stage took too long.",
    "gap_hides_limit": "The readings are too far apart to tell.",
    "start_unsure": "When the cooling began is not sure.",
}
_ACTIONS = {
    "discard": "Throw it out and log how much.",
    "reheat_or_discard": "Reheat once to 165°F and cool again, or throw it out.",
    "keep_cooling": "Keep cooling.",
    "keep_reading": "Keep reading.",
    "ask_when_start": "Find out when it was last hot, else throw it out.",
    "ask_reading": "Find out what it read in between, else throw it out.",
}


@dataclass(slots=True)
class _Group:
    began: datetime | None
    lines: list[Line]
    ended: Line | None = None


@dataclass(frozen=True, slots=True)
class Batch:
    """One food cooling down: its lines in order and the readings on a scale of hours from the first.

    ``clock_said`` is true when the first reading is the start that was told, not one taken.
    """

    kitchen: str
    food: str
    began: datetime
    lines: tuple[Line, ...]
    readings: tuple[CoolingReading, ...]
    clock_said: bool
    judgement: Judgement
    fit: CoolingFit | None
    forecast: Forecast | None
    next_due: tuple[str, datetime] | None
    ended: Line | None = None
    """What ended it before it was cold: a proper reheat, or that it was thrown out."""

    @property
    def verdict(self) -> str:
        """The verdict in one word of the rules; still cooling cannot be judged."""
        return self.judgement.verdict.value

    @property
    def told(self) -> str:
        """What the rules say, in words."""
        action = _ACTIONS.get(self.judgement.action, "")
        if self.ended is not None:
            at = shown.clock(shown.moment(self.ended.now))
            reheated = (
                f"Reheated to {shown.value(self.ended.now)} at {at}: this batch of cooling ended there."
            )
            gone = f"Thrown out at {at}: {self.ended.now.amount or 'the amount was not said'}."
            action = reheated if self.ended.now.kind == "reading" else gone
        return f"{_REASONS.get(self.judgement.reason, '')} {action}".strip()

    @property
    def outlook(self) -> str:
        """What the fitted curve expects, in words; empty where there is nothing to expect."""
        if self.forecast is None or self.next_due is None or self.ended is not None:
            return ""
        limit, sure = shown.with_unit(shown.plain(self.forecast.limit.value), self.forecast.limit.unit), ""
        if self.forecast.outlook != "unsure":
            sure = f" ({min(max(round(self.forecast.probability * 100), 1), 99)} % by the fit)"
        return f"Reaching {limit} by {shown.clock(self.next_due[1])} is {self.forecast.outlook}{sure}."


def batches_of(lines: Iterable[Line], site: Site, now: datetime | None = None) -> tuple[Batch, ...]:
    """Find the batches in lines in order: cooling readings of one food that belong together.

    A ``clock`` entry that starts a cooling begins a batch too. ``now`` is the present for batches that are
    still cooling; without it the last reading is.
    """
    groups: dict[tuple[str, str], list[_Group]] = {}
    for line in lines:
        entry = line.now
        if line.withdrawn:
            continue
        if _ends(line):
            for each in groups.get((line.site, entry.subject), [])[-1:]:
                each.ended = each.ended or line
            continue
        if entry.measured != "cooling":
            continue
        known = groups.setdefault((line.site, entry.subject), [])
        if entry.kind == "clock" and entry.note.startswith("started"):
            known.append(_Group(shown.moment(entry), []))
        elif entry.kind == "reading" and entry.value is not None:
            if not known or not _belongs(known[-1], line):
                known.append(_Group(None, []))
            known[-1].lines.append(line)
    found = [
        _batch(kitchen, food, group, site, now)
        for (kitchen, food), each in groups.items()
        for group in each
        if group.lines
    ]
    return tuple(sorted(found, key=lambda batch: batch.began))


def chart_of(batch: Batch, site: Site, frame: Frame | None = None) -> Chart:
    """Return the chart of a batch: readings, limits as steps, the fitted curve with two deviations."""
    limits = CoolingLimits.of(site.profile)
    unit: TemperatureUnit = site.kitchen.units
    hours = [float(reading.hours) for reading in batch.readings]
    one, total = float(limits.stage_one.value), float(limits.total.value)
    end = max(total + 0.5, hours[-1] + 0.25)
    told = [("start, as told", "")] if batch.clock_said else []
    told += [(_text(line), "fail" if line.now.verdict == "fail" else "") for line in batch.lines]
    marks = [
        Mark(hour, float(reading.temperature.in_unit(unit)), verdict, text)
        for hour, reading, (text, verdict) in zip(hours, batch.readings, told, strict=True)
    ]
    steps = [
        _limit_step(limits.middle.value, limits.middle.unit, unit, one, total),
        _limit_step(limits.end.value, limits.end.unit, unit, total, end),
    ]
    labels = [(float(hour), f"{hour} h") for hour in range(int(end) + 1)]
    return draw(marks, steps, (0.0, end), labels, unit="°", curve=_curve(batch, unit, end), frame=frame)


def _belongs(group: _Group, line: Line) -> bool:
    """Whether a reading goes on a batch: soon enough, and not hotter than a cold or long one could be."""
    here = shown.moment(line.now)
    if group.ended is not None:
        return False
    if not group.lines:
        return group.began is not None and here - group.began <= LONGEST
    last = group.lines[-1]
    if here - shown.moment(last.now) > LONGEST:
        return False
    told = _since(last), _since(line)
    if told[0] is not None and told[1] is not None and told[1] < told[0]:
        return False
    return _temperature(line).in_unit("F") <= _temperature(last).in_unit("F") + 10


def _ends(line: Line) -> bool:
    """Whether a line ends the cooling of its food: a reheat that passed, or a discard."""
    entry = line.now
    return entry.kind == "discard" or (entry.measured == "reheating" and entry.verdict == "pass")


def _batch(kitchen: str, food: str, group: _Group, site: Site, now: datetime | None) -> Batch:
    first, since = shown.moment(group.lines[0].now), _since(group.lines[0])
    began = group.began or (first - timedelta(hours=float(since)) if since else first)
    readings = [
        CoolingReading(max(hours_between(began, shown.moment(line.now)), Fraction(0)), _temperature(line))
        for line in group.lines
    ]
    start = _start(CoolingLimits.of(site.profile))
    told = first > began and not any(
        reading.hours <= 0 or reading.temperature.in_unit("F") > start.in_unit("F") for reading in readings
    )
    if told:
        readings.insert(0, CoolingReading(Fraction(0), start))
    last = began + timedelta(hours=float(readings[-1].hours))
    now = shown.moment(group.ended.now) if group.ended else now
    present = max(hours_between(began, now), Fraction(readings[-1].hours)) if now and now >= last else None
    due = next_limit(readings, site.profile)
    next_due = None
    if due is not None:
        at = began + timedelta(hours=float(due[1]))
        next_due = (shown.with_unit(shown.plain(due[0].value), due[0].unit), at)
    return Batch(
        kitchen, food, began, tuple(group.lines), tuple(readings), told,
        judge_cooling(readings, site.profile, present), _fit(readings),
        None if group.ended else forecast_cooling(readings, site.profile), None if group.ended else next_due,
        group.ended,
    )  # fmt: skip


def _start(limits: CoolingLimits) -> Temperature:
    return Temperature(limits.start.value, cast(TemperatureUnit, limits.start.unit))


def _fit(readings: list[CoolingReading]) -> CoolingFit | None:
    hours = [float(reading.hours) for reading in readings]
    return fit_cooling(hours, [float(reading.temperature.in_unit("F")) for reading in readings])


def _curve(batch: Batch, unit: str, end: float) -> list[tuple[float, float, float]]:
    if batch.fit is None:
        return []
    scale, zero = (1.0, 0.0) if unit == "F" else (5 / 9, 32.0)
    hours = [end * step / 80 for step in range(81)]
    return [
        (hour, (batch.fit.temperature(hour) - zero) * scale, 2 * batch.fit.deviation(hour) * scale)
        for hour in hours
    ]


def _limit_step(value: Decimal, unit: str, wanted: TemperatureUnit, start: float, end: float) -> Step:
    degrees = Temperature(value, cast(TemperatureUnit, unit))
    return Step(start, end, float(degrees.in_unit(wanted)), shown.with_unit(shown.plain(value), unit))


def _temperature(line: Line) -> Temperature:
    unit: TemperatureUnit = "C" if line.now.unit == "C" else "F"
    return Temperature(Decimal(line.now.value or "0"), unit)


def _since(line: Line) -> Decimal | None:
    """Return the hours since the start of cooling that were told with a reading, if they were."""
    told = _SINCE.match(line.now.note)
    return Decimal(told[1]) if told else None


def _text(line: Line) -> str:
    at = shown.moment(line.now)
    return f"{shown.clock(at)}: {shown.value(line.now)}"
