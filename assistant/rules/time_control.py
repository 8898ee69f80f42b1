"""Time instead of temperature as the control, and the four-hour sum of time out of temperature."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Literal

from assistant.rules.basis import Judgement, Limit, Range, Temperature, Verdict
from assistant.rules.compare import assumed_detail, colder_than, warmer_than
from assistant.rules.profile import Profile

Plan = Literal["four_hours", "six_hours"]


@dataclass(frozen=True, slots=True)
class TimeHold:
    """Food held by time: its plan, start, hours so far (``None``: not known), and what is known of it.

    ``peak`` is the warmest reading since. ``fresh`` marks produce just cut or a sealed package just opened.
    ``marked`` tells whether the container carries its time. ``raw_egg_for_susceptible``: raw eggs where the
    guests are a highly susceptible group.
    """

    plan: Plan
    start: Temperature | None
    hours: Decimal | None
    peak: Temperature | None = None
    fresh: bool = False
    marked: bool = True
    raw_egg_for_susceptible: bool = False


def judge_time_hold(hold: TimeHold, profile: Profile) -> Judgement:
    """Judge food under time control.

    Reasons: ``in_time``, ``unmarked``, ``time_unknown``, ``plan_not_allowed``, ``plan_for_cold_food_only``,
    ``start_out_of_range``, ``start_temperature_unknown``, ``too_long``, ``too_warm``, ``peak_unknown``,
    ``not_for_susceptible_guests``.
    """
    limit = hours_allowed(hold, profile)
    if hold.raw_egg_for_susceptible:
        return _failed("not_for_susceptible_guests", "use_temperature", limit)
    if not hold.marked:
        return _failed("unmarked", "discard", limit)
    if hold.start is None:
        return _answer(Verdict.CANNOT_JUDGE, "start_temperature_unknown", "ask_start", limit)
    hot = _started_hot(hold.start, profile)
    if hold.plan == "six_hours" and (hot or limit.value <= profile.value("time_control_hours_max")):
        reason = "plan_for_cold_food_only" if hot else "plan_not_allowed"
        short = profile.limit("time_control_hot_hours_max" if hot else "time_control_hours_max")
        over = hold.hours is None or hold.hours > short.value
        return _failed(reason, "discard" if over else "use_short_plan", short)
    if not hot and warmer_than(hold.start, _start_limit(hold, profile)):
        return _failed("start_out_of_range", "ask_since_when", _start_limit(hold, profile))
    return _judge_run(hold, limit, profile)


def hours_allowed(hold: TimeHold, profile: Profile) -> Limit:
    """Return the hours that the plan gives food with this start."""
    if hold.plan == "six_hours":
        return profile.limit("time_control_cold_hours_max")
    hot = hold.start is not None and _started_hot(hold.start, profile)
    return profile.limit("time_control_hot_hours_max" if hot else "time_control_hours_max")


def discard_time(start: datetime, hold: TimeHold, profile: Profile) -> datetime:
    """Return when food that left temperature control at ``start`` has to be gone: the time to write on it.

    An aware time is counted in UTC, so that a change of the clocks does not lengthen the hours.
    """
    minutes = timedelta(minutes=int(hours_allowed(hold, profile).value * 60))
    if start.tzinfo is None:
        return start + minutes
    return (start.astimezone(UTC) + minutes).astimezone(start.tzinfo)


def _started_hot(start: Temperature, profile: Profile) -> bool:
    return not colder_than(start, profile.limit("time_control_hot_start_min"))


def _start_limit(hold: TimeHold, profile: Profile) -> Limit:
    fresh = hold.fresh and hold.plan == "four_hours"
    return profile.limit("time_control_fresh_start_max" if fresh else "time_control_cold_start_max")


def _judge_run(hold: TimeHold, limit: Limit, profile: Profile) -> Judgement:
    peak = profile.limit("time_control_peak_max")
    if hold.hours is None:
        return _failed("time_unknown", "discard", limit)
    if hold.hours > limit.value:
        return _failed("too_long", "discard", limit)
    watched = hold.plan == "six_hours" or hold.fresh
    if watched and hold.peak is not None and warmer_than(hold.peak, peak):
        return _failed("too_warm", "discard", peak)
    if hold.plan == "six_hours" and hold.peak is None:
        return _answer(Verdict.CANNOT_JUDGE, "peak_unknown", "ask_reading", limit)
    details: dict[str, Decimal | str] = {"hours_left": limit.value - hold.hours}
    if hold.plan == "six_hours" and profile.value("time_control_check_hours") < limit.value:
        details["reading_at_hours"] = profile.value("time_control_check_hours")
    return _answer(Verdict.PASS, "in_time", "", limit, details)


def judge_time_out(spells: Iterable[Decimal | None], profile: Profile) -> Judgement:
    """Judge the hours that food spent out of temperature in all (prep, thaw, holding); ``None``: unknown.

    An unknown spell means discard. At the limit the food still passes, to be used or cooled at once.
    """
    limit = profile.limit("time_control_hours_max")
    total = Decimal(0)
    for hours in spells:
        if hours is None:
            return _failed("time_unknown", "discard", limit)
        if hours < 0:
            raise ValueError("a time out of temperature cannot be negative")
        total += hours
    details: dict[str, Decimal | str] = {"hours_in_all": total}
    if total > limit.value:
        return _answer(Verdict.FAIL, "too_long", "discard", limit, details)
    return _answer(Verdict.PASS, "in_time", "", limit, {**details, "hours_left": limit.value - total})


def _failed(reason: str, action: str, limit: Limit) -> Judgement:
    return _answer(Verdict.FAIL, reason, action, limit)


def _answer(
    verdict: Verdict,
    reason: str,
    action: str,
    limit: Limit,
    details: dict[str, Decimal | str] | None = None,
) -> Judgement:
    limits = Range(limit.unit, high=limit.value)
    merged = {**assumed_detail(limit), **(details or {})}
    return Judgement(verdict, reason, (limit.citation,), limits, action, merged)
