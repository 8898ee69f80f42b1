"""Cooking with rules of its own: microwave, plants for hot holding, undercooked steak, par-cooking."""

from __future__ import annotations

from decimal import Decimal

from assistant.rules.basis import Citation, Judgement, Temperature, Verdict
from assistant.rules.compare import assumed_detail, judge_at_least
from assistant.rules.profile import Profile

STEAK = Citation("FDA Food Code 2022", "3-401.11(C)", note="intact whole-muscle beef steak")


def judge_microwave_cook(
    reading: Temperature,
    profile: Profile,
    *,
    covered_stand_s: Decimal | None,
    stirred_and_covered: bool = True,
) -> Judgement:
    """Judge raw animal food cooked in a microwave: hot in every part, then stood covered."""
    judged = judge_at_least(reading, profile.limit("microwave_cook_min"), "keep_cooking")
    if not judged.passed:
        return judged
    stand = profile.limit("microwave_stand_min")
    sources = (*judged.citations, stand.citation)
    details = assumed_detail(profile.limit("microwave_cook_min"), stand) | {"stand_s": stand.value}
    if not stirred_and_covered:
        reason, action = "not_stirred_or_covered", "stir_cover_and_reheat"
        return Judgement(Verdict.FAIL, reason, sources, judged.limits, action, details)
    if covered_stand_s is None:
        return Judgement(
            Verdict.CANNOT_JUDGE, "stand_unknown", sources, judged.limits, "stand_covered", details
        )
    if covered_stand_s < stand.value:
        return Judgement(Verdict.FAIL, "stand_too_short", sources, judged.limits, "stand_covered", details)
    return Judgement(Verdict.PASS, "in_range", sources, judged.limits, details=details)
