"""Cooking with rules of its own: microwave, plants for hot holding, undercooked steak, par-cooking."""

from __future__ import annotations

from decimal import Decimal

from assistant.rules.basis import Citation, Judgement, Range, Temperature, Verdict
from assistant.rules.compare import assumed_detail, judge_at_least, limit_unit
from assistant.rules.cooking import CookStep, CookTarget, group_target, judge_target
from assistant.rules.foods import Food
from assistant.rules.profile import Profile

STEAK = Citation("FDA Food Code 2022", "3-401.11(C)", note="intact whole-muscle beef steak")
NONCONTINUOUS = Citation("FDA Food Code 2022", "3-401.14")


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


def judge_plant_for_hot_holding(reading: Temperature, profile: Profile) -> Judgement:
    """Judge fruit, vegetables or grains cooked for hot holding."""
    return judge_at_least(reading, profile.limit("cook_plant_min"), "keep_cooking")


def judge_undercooked_steak(
    surface: Temperature,
    profile: Profile,
    *,
    intact_proof: bool | None,
    highly_susceptible: bool | None,
    colour_changed: bool | None = True,
) -> Judgement:
    """Judge serving an intact whole-muscle beef steak undercooked.

    Needs proof by label or invoice that it is intact, guests who are not highly susceptible, both sides
    at the surface temperature and a changed colour all over. ``None``: not known, so it is asked.
    """
    minimum = profile.limit("steak_surface_min")
    sources = (STEAK, minimum.citation)
    limits = Range(minimum.unit, low=minimum.value)
    if highly_susceptible:
        return Judgement(Verdict.FAIL, "highly_susceptible_guests", sources, limits, "cook_fully")
    surface_judged = judge_at_least(surface, minimum, "sear_longer", "surface_too_cold")
    if not surface_judged.passed:
        return surface_judged
    if colour_changed is False:
        return Judgement(Verdict.FAIL, "colour_not_changed", sources, limits, "sear_longer")
    if not intact_proof:
        return Judgement(Verdict.CANNOT_JUDGE, "intact_not_proved", sources, limits, "cook_as_tenderized")
    if highly_susceptible is None or colour_changed is None:
        return Judgement(Verdict.CANNOT_JUDGE, "guests_or_colour_unknown", sources, limits, "ask")
    return Judgement(Verdict.PASS, "in_range", sources, limits, details=assumed_detail(minimum))


def judge_first_heating(minutes: Decimal, profile: Profile) -> Judgement:
    """Judge the first heating of noncontinuous cooking, in minutes.

    The food is then cooled by the cooling rule, kept cold, marked and apart from ready-to-eat food, and
    finished fully; the procedure has to be written and approved.
    """
    limit = profile.limit("noncontinuous_first_minutes_max")
    sources = (NONCONTINUOUS, limit.citation)
    span = Range(limit.unit, high=limit.value)
    if minutes > limit.value:
        return Judgement(Verdict.FAIL, "too_long", sources, span, "discard", assumed_detail(limit))
    return Judgement(
        Verdict.PASS, "in_range", sources, span, "needs_written_procedure", assumed_detail(limit)
    )


def noncontinuous_finish(food: Food, profile: Profile) -> CookTarget:
    """Return the final cooking of par-cooked food: one figure that no food's own exceeds."""
    minimum, hold = profile.limit("noncontinuous_final_min"), profile.limit("noncontinuous_final_hold")
    step = CookStep(
        Temperature(minimum.value, limit_unit(minimum)), hold.value, minimum.citation, minimum.assumed
    )
    return CookTarget(food.cook_group or "unknown", (step,))


def judge_noncontinuous_finish(
    food: Food, reading: Temperature, profile: Profile, held_s: Decimal | None
) -> Judgement:
    """Judge the final cooking of par-cooked food."""
    return judge_target(noncontinuous_finish(food, profile), reading, held_s)


def target_for_unknown(profile: Profile) -> CookTarget:
    """Return the target for raw animal food of a kind nobody knows."""
    return group_target("unknown", profile)
