"""Readings of a cooling batch whose clock runs: judged over all of its readings, with what comes next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from assistant.dialogue.answer import Answer, Request, Value, capital, degrees, plain
from assistant.dialogue.clocks import (
    STARTED,
    STOPPED,
    RunningClock,
    batch_readings,
    clock_draft,
    made_cold,
    with_start,
)
from assistant.dialogue.due import ambient_limit, outlook
from assistant.dialogue.moments import past_moment, shown_time
from assistant.logbook.entry import Draft, Limits
from assistant.rules.basis import Judgement, Temperature, Verdict
from assistant.rules.cooling import CoolingLimits, judge_cooling, next_limit
from assistant.rules.cooling_curve import CoolingReading, Hours, hours_between
from assistant.rules.cooling_other import judge_ambient_cooling
from intents.mentions import Measure
from intents.readings import LEAST_BARE

NEAR_NOW = timedelta(minutes=20)
"""A time said as the present ("it's eight thirty") may be this far from the clock; beyond it counts."""
GETS_COLD = timedelta(hours=3)
"""Sooner no pot is cold, so a bare number that small is no degrees (judgement)."""
CHECK = "cooling_check"


def judge_batch(
    request: Request,
    clock: RunningClock,
    temperature: Temperature,
    told: Sequence[CoolingReading] = (),
) -> Answer:
    """Judge one more reading of a running batch, log it, and end the clock when the answer is final.

    ``told`` are earlier readings that were only told, in hours from the clock's start.
    """
    profile = request.profile
    hours = _hours(request, clock)
    readings = [*batch_readings(request.views, clock, profile), *told]
    latest = max(reading.hours for reading in readings)
    hours = hours if request.said_at else max(hours, Fraction(latest))
    series = sorted((*readings, CoolingReading(hours, temperature)), key=lambda reading: reading.hours)
    if made_cold(clock.food):
        judged = judge_ambient_cooling(temperature, _decimal(hours), profile)
    else:
        judged = judge_cooling(with_start(series, profile), profile)
    reply, note = _outcome(judged, temperature, CoolingLimits.of(profile))
    values = _values(request, clock, temperature, hours)
    drafts: tuple[Draft, ...] = (_reading(request, clock, temperature, hours, judged, reply),)
    if note:
        drafts += (
            Draft(
                kind="action_opened", subject=clock.subject, item=clock.food, measured="cooling",
                refers_to=-1, note=note,
            ),
        )  # fmt: skip
    if reply == "batch" and made_cold(clock.food):
        limit, at = ambient_limit(clock, profile)
        values |= {"limit": degrees(limit.value, limit.unit), "time": shown_time(at)}
    elif reply == "batch":
        key, more = outlook(series, clock.start, profile)
        values |= _next(series, clock, request) | more
        reply = f"batch_{key}" if key in ("likely", "unlikely", "unsure", "never") else "batch"
    else:
        drafts += (clock_draft("cooling", clock.subject, f"{STOPPED}: {reply}", item=clock.food),)
    verdict = judged.verdict if judged.verdict is not Verdict.CANNOT_JUDGE else None
    return Answer(reply, values, judged.citations, verdict, drafts, intent=CHECK)


def _outcome(judged: Judgement, temperature: Temperature, limits: CoolingLimits) -> tuple[str, str]:
    """Return the reply and, where something has to be done, the note of the corrective action."""
    if judged.reason == "cooled":
        return "done", ""
    if judged.reason in ("cooling", "not_started"):
        return "batch", ""
    if judged.reason == "ambient_too_long":
        return "ambient_late", "discard"
    if judged.verdict is Verdict.FAIL:
        if judged.action == "reheat_or_discard":
            return "reheat", "reheat or discard"
        return ("late_first" if judged.reason == "stage_one_too_long" else "discard"), "discard"
    cold = temperature.in_unit("C" if limits.end.unit == "C" else "F") <= limits.end.value
    last = judged.details.get("next_temperature") == limits.end.value
    gap = "gap_cold_last" if last else "gap_cold"
    return (gap if cold else "gap"), "discard unless a reading shows it was in time"


def _hours(request: Request, clock: RunningClock) -> Fraction:
    """Return the hours of this reading: by the clock, or later if a much later present was said."""
    now = max(hours_between(clock.start, request.now), Fraction(0))
    if not request.slots.clocks:
        return now
    said = past_moment(request.slots.clocks[0], request.now)
    step = timedelta(hours=12 if request.slots.clocks[0].endswith("?") else 24)
    if min(abs(said - request.now), abs(said + step - request.now)) <= NEAR_NOW:
        return now
    while said - step >= clock.start:
        said -= step
    while said < clock.start:
        said += step
    return max(now, hours_between(clock.start, said))


def _decimal(hours: Fraction) -> Decimal:
    return Decimal(hours.numerator) / Decimal(hours.denominator)


def _values(
    request: Request, clock: RunningClock, temperature: Temperature, hours: Fraction
) -> dict[str, Value]:
    limits = CoolingLimits.of(request.profile)
    return {
        "food": capital(clock.subject),
        "value": degrees(temperature.value, temperature.unit),
        "hours": plain(hours),
        "middle": degrees(limits.middle.value, limits.middle.unit),
        "end": degrees(limits.end.value, limits.end.unit),
        "one": plain(limits.stage_one.value),
        "total": plain(limits.total.value),
        "ambient": plain(request.profile.value("cooling_ambient_hours_max")),
    }


def _next(series: list[CoolingReading], clock: RunningClock, request: Request) -> dict[str, Value]:
    coming = next_limit(with_start(series, request.profile), request.profile)
    if coming is None:
        limit = CoolingLimits.of(request.profile).start
        return {"limit": degrees(limit.value, limit.unit), "time": shown_time(request.now)}
    limit, due = coming
    at = clock.start + timedelta(hours=float(due))
    return {"limit": degrees(limit.value, limit.unit), "time": shown_time(at)}


def _reading(
    request: Request, clock: RunningClock, t: Temperature, hours: Hours, judged: Judgement, reply: str
) -> Draft:
    limits = CoolingLimits.of(request.profile)
    source = judged.citations[0]
    return Draft(
        kind="reading",
        subject=clock.subject,
        item=clock.food,
        refers_to=clock.entry_id or None,
        measured="cooling",
        value=plain(t.value),
        unit=t.unit,
        verdict=judged.verdict.value,
        limits=Limits(high=plain(limits.end.value), unit=limits.end.unit),
        rule=f"{source.document}, {source.section}",
        profile=request.site.kitchen.profile,
        note=f"{plain(Fraction(hours))} h after the start at {shown_time(clock.start)}",
    )


def begin_with(request: Request, temperature: Temperature) -> Answer:
    """Start the clock of a batch that was read hot just now ("chili's cooling, one thirty-five")."""
    food = request.slots.foods[0]
    limits = CoolingLimits.of(request.profile)
    clock = RunningClock("cooling", food, request.now, 0)
    values = _values(request, clock, temperature, Fraction(0))
    hot = temperature.in_unit("C" if limits.start.unit == "C" else "F") > limits.start.value
    values |= {
        "first": shown_time(after(request.now, limits.stage_one.value)),
        "last": shown_time(after(request.now, limits.total.value)),
        "start": degrees(limits.start.value, limits.start.unit),
    }
    judged = judge_cooling([CoolingReading(Decimal(0), temperature)], request.profile)
    reading = _reading(request, clock, temperature, Fraction(0), judged, "")
    reading = reading.model_copy(update={"refers_to": -1})
    drafts = (clock_draft("cooling", food, STARTED), reading)
    reply = "started_hot" if hot else "started_with"
    return Answer(reply, values, judged.citations, drafts=drafts, intent=CHECK)


def may_be_read(request: Request, number: Measure) -> bool:
    """False for "started at noon, the two together": a bare number as cold as food gets only hours later."""
    units, clocks = request.site.kitchen.units, request.slots.clocks
    if number.kind == "temperature" or number.value < 0:
        return True
    start = past_moment(clocks[0], request.now) if clocks else request.now
    least = CoolingLimits.of(request.profile).end.temperature.in_unit("C" if units == "C" else "F")
    return number.value > (least if request.now - start < GETS_COLD else 0 if units == "C" else LEAST_BARE)


def progress(request: Request, clock: RunningClock, readings: Sequence[CoolingReading]) -> Answer:
    """Return how a batch is doing by its last reading: what is due, or what to read where that is overdue.

    ``readings`` are those of ``clocks.batch_readings``; nothing is logged.
    """
    last = max(readings, key=lambda reading: reading.hours)
    values = _values(request, clock, last.temperature, Fraction(last.hours))
    limits = CoolingLimits.of(request.profile)
    source = (limits.stage_one.citation,)
    coming = next_limit(list(readings), request.profile)
    if coming is None:
        start = degrees(limits.start.value, limits.start.unit)
        return Answer("started_hot", {**values, "start": start}, source, intent=CHECK)
    if after(clock.start, Decimal(float(coming[1]))) < request.now:
        return Answer("ask_now", values, source, ask="temperature|number", intent=CHECK)
    key, more = outlook(readings, clock.start, request.profile)
    values |= _next(list(readings), clock, request) | more
    reply = f"batch_{key}" if key in ("likely", "unlikely", "unsure", "never") else "batch"
    return Answer(reply, values, source, intent=CHECK)


def after(moment: datetime, hours: Decimal) -> datetime:
    return moment + timedelta(hours=float(hours))


def batch_answer(request: Request, clock: RunningClock, value: Decimal, unit: str) -> Answer:
    """Return ``judge_batch`` for a number of the reading grammar."""
    temperature = Temperature(value, "C" if unit == "C" else "F")
    return replace(judge_batch(request, clock, temperature), intent=CHECK)
