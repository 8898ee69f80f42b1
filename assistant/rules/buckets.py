"""Sanitizer buckets: how old one may be, and what to do with a wrong one."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from assistant.rules.basis import Citation, Judgement, Range, Verdict
from assistant.rules.profile import Profile

_SOLUTION = Citation("FDA Food Code 2022", "3-304.14", "fda_2022", "READ", "cloths live in clean sanitizer")


def judge_bucket_age(hours: Decimal | None, profile: Profile) -> Judgement:
    """Judge a bucket by its age in hours (``None``: not known); soil or a weak strip ends it at any age."""
    limit = profile.limit("solution_age_hours_max")
    limits, citations = Range(limit.unit, high=limit.value), (_SOLUTION, limit.citation)
    if hours is None:
        return Judgement(Verdict.CANNOT_JUDGE, "age_unknown", citations, limits, "remake")
    if hours >= limit.value:
        return Judgement(Verdict.FAIL, "too_old", citations, limits, "remake")
    return Judgement(Verdict.CANNOT_JUDGE, "not_tested", citations, limits, "test_with_strip")


ChangeToBucket = Literal["add_concentrate", "add_water", "add_bleach_to_quat", "add_soap", "remake"]


def judge_bucket_change(change: ChangeToBucket) -> Judgement:
    """Judge what somebody wants to do with a bucket that tests wrong: only a fresh one is sure."""
    if change == "remake":
        return Judgement(Verdict.PASS, "remake", (_SOLUTION,), action="test_with_strip")
    reasons = {
        "add_concentrate": "topping_up_guesses",
        "add_water": "thinning_guesses",
        "add_bleach_to_quat": "never_mix",
        "add_soap": "soap_cancels_sanitizer",
    }
    return Judgement(Verdict.FAIL, reasons[change], (_SOLUTION,), action="remake")
