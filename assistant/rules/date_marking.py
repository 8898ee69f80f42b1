"""Date marking of ready-to-eat TCS food: last day of use, what needs a mark, what is exempt.

The day made or opened is day 1. The oldest ingredient sets the date; freezing stops the count and the
day of thawing resumes it; a maker's safety use-by is never passed.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from assistant.rules.basis import Judgement, Limit, Range, Temperature, Verdict
from assistant.rules.compare import assumed_detail, warmer_than
from assistant.rules.profile import Profile


def days_allowed(profile: Profile, held_at: Temperature | None = None) -> Limit:
    """Return how many days the food may be kept: fewer where it is held warmer than the rule's 41F.

    ``held_at`` is the warmest the food is held; ``None`` trusts that it keeps to the date-mark limit.
    """
    if held_at is None or not warmer_than(held_at, profile.limit("date_mark_hold_max")):
        return profile.limit("date_mark_days_max")
    return profile.limit("date_mark_warm_days_max")


def last_day(
    made: date,
    profile: Profile,
    *,
    ingredients: Iterable[date] = (),
    maker_use_by: date | None = None,
    held_at: Temperature | None = None,
) -> date:
    """Return the last day of use of food made or opened on ``made``, its ingredients on ``ingredients``."""
    first = min([made, *ingredients])
    last = first + timedelta(days=int(days_allowed(profile, held_at).value) - 1)
    return last if maker_use_by is None else min(last, maker_use_by)


def last_day_after_freezing(
    days_before_freezing: int, thawed: date, profile: Profile, held_at: Temperature | None = None
) -> date:
    """Return the last day of use when ``days_before_freezing`` days were used up before the freezer.

    The day of thawing is the next day of the count. May lie before ``thawed``: nothing is left then.
    """
    if days_before_freezing < 0:
        raise ValueError("the days before freezing cannot be negative")
    left = int(days_allowed(profile, held_at).value) - days_before_freezing
    return thawed + timedelta(days=left - 1)


def days_left_after_freezing(days_before_freezing: int, profile: Profile) -> int:
    """Return the days left, the day of thawing included; never below none."""
    return max(int(days_allowed(profile).value) - days_before_freezing, 0)


def judge_day(
    day_number: int | None,
    profile: Profile,
    *,
    held_at: Temperature | None = None,
    reheat_to_165: bool = False,
    susceptible_guests: bool = False,
) -> Judgement:
    """Judge a date mark by the day of use (1: the day made; ``None``: no mark or not known).

    ``reheat_to_165`` is the rescue of food over its date, where the profile has one.
    """
    limit = days_allowed(profile, held_at)
    hold, late = profile.limit("date_mark_warm_hold_max"), profile.limit("date_mark_late_reheat")

    def answer(verdict: Verdict, reason: str, action: str = "") -> Judgement:
        citations = (limit.citation, late.citation)
        limits = Range(limit.unit, high=limit.value)
        return Judgement(verdict, reason, citations, limits, action, assumed_detail(limit, late))

    if held_at is not None and warmer_than(held_at, hold):
        return answer(Verdict.FAIL, "held_too_warm", "ask_since_when")
    if day_number is None:
        return answer(Verdict.FAIL, "no_date", "discard")
    if day_number < 1:
        raise ValueError("the day made is day 1")
    if day_number <= limit.value:
        return answer(Verdict.PASS, "in_date")
    if late.value and reheat_to_165 and not susceptible_guests:
        return answer(Verdict.PASS, "late_reheated", "reheat")
    return answer(Verdict.FAIL, "over_date", "discard")
