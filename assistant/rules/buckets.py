"""Sanitizer buckets and wiping cloths: who shares one, how old it may be, what to do with a wrong one."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Literal

from assistant.rules.basis import Citation, Judgement, Range, Verdict
from assistant.rules.profile import Profile

BucketUse = Literal["raw_animal", "ready_to_eat", "general"]


_SEPARATE = Citation("California Retail Food Code", "114185.1", "california", "READ", "elsewhere practice")
_SOLUTION = Citation("FDA Food Code 2022", "3-304.14", "fda_2022", "READ", "cloths live in clean sanitizer")


def judge_bucket_sharing(one: BucketUse, other: BucketUse) -> Judgement:
    """Judge whether two uses may share a bucket: raw animal food and anything else may not."""
    if one != other and "raw_animal" in (one, other):
        return Judgement(Verdict.FAIL, "separate_buckets", (_SEPARATE, _SOLUTION), action="second_bucket")
    return Judgement(Verdict.PASS, "may_share", (_SEPARATE, _SOLUTION))


def judge_bucket_age(
    hours: Decimal | None, profile: Profile, *, cloudy: bool = False, strip_passed: bool | None = None
) -> Judgement:
    """Judge a bucket by its age in hours (``None``: not known), its look and its last strip.

    Soil or a weak strip ends it at any age; a day ends it in any case.
    """
    limit = profile.limit("solution_age_hours_max")
    limits = Range(limit.unit, high=limit.value)
    citations = (_SOLUTION, limit.citation)

    def answer(verdict: Verdict, reason: str, action: str = "") -> Judgement:
        return Judgement(verdict, reason, citations, limits, action)

    if cloudy:
        return answer(Verdict.FAIL, "solution_soiled", "remake")
    if strip_passed is False:
        return answer(Verdict.FAIL, "strip_failed", "remake")
    if hours is None:
        return answer(Verdict.CANNOT_JUDGE, "age_unknown", "remake")
    if hours > limit.value:
        return answer(Verdict.FAIL, "too_old", "remake")
    if strip_passed is None:
        return answer(Verdict.CANNOT_JUDGE, "not_tested", "test_with_strip")
    return answer(Verdict.PASS, "in_range")


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


ClothKeeping = Literal["in_sanitizer", "dry_for_spills", "on_counter", "on_shoulder", "in_apron", "on_floor"]


def judge_cloth(kept: ClothKeeping) -> Judgement:
    """Judge where a wiping cloth is kept: wet cloths live in sanitizer, dry ones are for dry spills."""
    if kept in ("in_sanitizer", "dry_for_spills"):
        return Judgement(Verdict.PASS, "cloth_ok", (_SOLUTION,))
    return Judgement(Verdict.FAIL, "cloth_out_of_sanitizer", (_SOLUTION,), action="cloth_to_sanitizer")


def judge_dispenser(tested: Judgement) -> Judgement:
    """Turn the judgement of a dispenser's solution into what to do: a wrong one is a call for service.

    Until then the solution is measured by hand.
    """
    if tested.verdict is not Verdict.FAIL:
        return tested
    return replace(tested, action="call_service")
