"""Cooling that is not the two stages of cooked food: room-temperature ingredients, shallow pans, plants."""

from __future__ import annotations

from decimal import Decimal

from assistant.rules.basis import Judgement, Range, Temperature, Verdict
from assistant.rules.compare import assumed_detail, warmer_than
from assistant.rules.profile import Profile


def judge_ambient_cooling(temperature: Temperature, hours: Decimal, profile: Profile) -> Judgement:
    """Judge food made from ingredients at room temperature (tuna salad), ``hours`` after it was made."""
    limit, end = profile.limit("cooling_ambient_hours_max"), profile.limit("cooling_end")
    citations = (limit.citation, end.citation)
    limits = Range(end.unit, high=end.value)
    details = assumed_detail(limit, end)
    cold = not warmer_than(temperature, end)
    if hours > limit.value or (hours == limit.value and not cold):
        return Judgement(Verdict.FAIL, "ambient_too_long", citations, limits, "discard", details)
    if cold:
        return Judgement(Verdict.PASS, "cooled", citations, limits, details=details)
    details |= {"minutes_left": (limit.value - hours) * 60, "next_temperature": end.value, "unit": end.unit}
    return Judgement(Verdict.CANNOT_JUDGE, "cooling", citations, limits, "keep_cooling", details)
