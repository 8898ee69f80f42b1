"""Two-stage cooling of cooked food, judged from any number of readings.

A limit met by the straight line between two readings is met, because food cools below that line.
Where the line misses a limit that the food may still have met, the answer asks instead of guessing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from assistant.rules.basis import Judgement, Limit, Range, Verdict
from assistant.rules.compare import assumed_detail
from assistant.rules.cooling_curve import (
    ClockStart,
    CoolingReading,
    Crossing,
    Hours,
    clock_start,
    crossing,
    ordered,
)
from assistant.rules.profile import Profile
from assistant.rules.rounding import rounded_down

State = Literal["met", "open", "start_unsure", "gap_hides_limit", "missed"]
_WORST_FIRST: tuple[State, ...] = ("missed", "gap_hides_limit", "start_unsure", "open", "met")


@dataclass(frozen=True, slots=True)
class CoolingLimits:
    """The figures of a profile for two-stage cooling: temperatures in their own units, and hours."""

    start: Limit
    middle: Limit
    end: Limit
    stage_one: Limit
    stage_two: Limit
    total: Limit
    rescue: Limit

    @classmethod
    def of(cls, profile: Profile) -> CoolingLimits:
        """Return the cooling figures of ``profile``."""
        return cls(
            profile.limit("cooling_start"),
            profile.limit("cooling_stage_one"),
            profile.limit("cooling_end"),
            profile.limit("cooling_stage_one_hours_max"),
            profile.limit("cooling_stage_two_hours_max"),
            profile.limit("cooling_total_hours_max"),
            profile.limit("time_control_hours_max"),
        )


def judge_cooling(
    readings: Sequence[CoolingReading],
    profile: Profile,
    now_hours: Hours | None = None,
    *,
    reheated_before: bool = False,
) -> Judgement:
    """Judge a cooling so far; readings in any order, ``now_hours`` is the present (default: the last one).

    ``reheated_before`` tells that this food was already reheated once after a missed limit. Reasons:
    ``cooled``, ``stage_one_too_long``, ``stage_two_too_long``, ``cooling``, ``not_started``,
    ``gap_hides_limit``, ``start_unsure``. Details: ``next_temperature``, ``unit``, ``minutes_left``,
    ``clock`` when the food was first seen already below the start. Raises ``ValueError`` for no readings
    or a present before the last of them.
    """
    series = ordered(readings)
    now = series[-1].hours if now_hours is None else now_hours
    if now < series[-1].hours:
        raise ValueError("the present cannot be earlier than the last reading")
    limits = CoolingLimits.of(profile)
    start = clock_start(series, limits.start)
    if start is None:
        return _answer(limits, Verdict.CANNOT_JUDGE, "not_started", "keep_reading", {})
    details: dict[str, Decimal | str] = {} if start.seen else {"clock": "first_reading"}
    middle = crossing(series, limits.middle)
    one = _state(middle, series, start, Fraction(limits.stage_one.value), now)
    allowed = _second_stage_hours(limits, start, middle)
    two = _state(crossing(series, limits.end), series, start, allowed, now)
    worst = min(one, two, key=_WORST_FIRST.index)
    if worst == "met":
        return _answer(limits, Verdict.PASS, "cooled", "", details)
    in_one = one == worst
    details |= _next(limits.middle if in_one else limits.end)
    if worst == "open":
        hours = Fraction(limits.stage_one.value) if in_one else allowed
        details["minutes_left"] = rounded_down((start.earliest + hours - Fraction(now)) * 60)
        return _answer(limits, Verdict.CANNOT_JUDGE, "cooling", "keep_cooling", details)
    rescue = (
        not reheated_before
        and two != "missed"
        and Fraction(now) - start.earliest <= Fraction(limits.rescue.value)
    )
    action = "reheat_or_discard" if rescue else "discard"
    if worst == "missed":
        reason = "stage_one_too_long" if in_one else "stage_two_too_long"
        return _answer(limits, Verdict.FAIL, reason, action, details)
    details["without_answer"] = action
    ask = "ask_when_start" if worst == "start_unsure" else "ask_reading"
    return _answer(limits, Verdict.CANNOT_JUDGE, worst, ask, details)


def next_limit(readings: Sequence[CoolingReading], profile: Profile) -> tuple[Limit, Fraction] | None:
    """Return the next temperature due and when (hours on the caller's scale), on the safe clock.

    ``None`` before the clock has started and when the food is cold.
    """
    series, limits = ordered(readings), CoolingLimits.of(profile)
    start = clock_start(series, limits.start)
    if start is None or crossing(series, limits.end) is not None:
        return None
    middle = crossing(series, limits.middle)
    if middle is None:
        return limits.middle, start.earliest + Fraction(limits.stage_one.value)
    return limits.end, start.earliest + _second_stage_hours(limits, start, middle)


def _second_stage_hours(limits: CoolingLimits, start: ClockStart, middle: Crossing | None) -> Fraction:
    """Return when the end temperature is due, in hours from the start: by the total or the second clock."""
    total = Fraction(limits.total.value)
    if middle is None:
        return total
    return min(total, max(middle.by_line - start.earliest, Fraction(0)) + Fraction(limits.stage_two.value))


def _state(
    reached: Crossing | None,
    series: Sequence[CoolingReading],
    start: ClockStart,
    allowed: Fraction,
    now: Hours,
) -> State:
    """Return how one limit stands, ``allowed`` hours after a clock that started within two bounds."""
    soonest = _state_from(reached, series, start.earliest + allowed, now)
    if soonest in ("met", "open") or start.earliest == start.latest:
        return soonest
    latest = _state_from(reached, series, start.latest + allowed, now)
    return latest if latest in ("missed", "gap_hides_limit") else "start_unsure"


def _state_from(
    reached: Crossing | None, series: Sequence[CoolingReading], deadline: Fraction, now: Hours
) -> State:
    if reached is None:
        if series[-1].hours >= deadline:
            return "missed"
        return "open" if now <= deadline else "gap_hides_limit"
    if reached.by_line <= deadline:
        return "met"
    return "missed" if reached.earliest >= deadline else "gap_hides_limit"


def _next(limit: Limit) -> dict[str, Decimal | str]:
    return {"next_temperature": limit.value, "unit": limit.unit}


def _answer(
    limits: CoolingLimits, verdict: Verdict, reason: str, action: str, details: dict[str, Decimal | str]
) -> Judgement:
    used = (limits.start, limits.middle, limits.end, limits.stage_one, limits.total)
    citations = tuple(dict.fromkeys(limit.citation for limit in used))
    merged = {**assumed_detail(*used), **details}
    return Judgement(
        verdict, reason, citations, Range(limits.end.unit, high=limits.end.value), action, merged
    )
