"""Thawing and slacking: which ways are allowed, the running-water clock, and the sink between foods.

Source of the four ways: FDA Food Code 3-501.13. Whatever is not on that list (the counter, standing
water) is refused.
"""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum

from assistant.rules.basis import Citation, Judgement, Range, Temperature, Verdict
from assistant.rules.compare import assumed_detail, judge_at_most
from assistant.rules.foods import Food, same_kind
from assistant.rules.profile import Profile

THAWING = Citation("FDA Food Code", "3-501.13")
SLACKING = Citation("FDA Food Code", "3-501.12")
VACUUM_FISH = Citation("FDA Food Code", "3-501.13(E)", note="reduced-oxygen fish labelled keep frozen")


class Method(StrEnum):
    """How food is thawed."""

    COOLER = "cooler"
    RUNNING_WATER = "running water"
    MICROWAVE = "microwave"
    COOK_FROZEN = "cook from frozen"
    ONE_PORTION = "one ready-to-eat portion for one order"
    COUNTER = "counter"
    STANDING_WATER = "standing water"
    HAND_SINK = "hand sink"


def judge_method(
    method: Method, food: Food | None = None, *, cooked_at_once: bool | None = None
) -> Judgement:
    """Judge a way of thawing by itself; readings are judged by the functions below.

    ``cooked_at_once`` matters for the microwave; ``None`` there asks.
    """
    if method in _REFUSED:
        reason, action = _REFUSED[method]
        return Judgement(Verdict.FAIL, reason, (THAWING,), action=action)
    if method is Method.MICROWAVE:
        return _microwave(cooked_at_once)
    if method is Method.ONE_PORTION and food is not None and not food.ready_to_eat:
        return Judgement(Verdict.FAIL, "only_ready_to_eat_portion", (THAWING,), action="use_cooler")
    return Judgement(Verdict.PASS, f"allowed_{method.name.lower()}", (THAWING,))


_REFUSED = {
    Method.COUNTER: ("not_a_thawing_method", "use_cooler"),
    Method.STANDING_WATER: ("water_must_run", "run_the_water"),
    Method.HAND_SINK: ("hand_sink_only_for_hands", "use_food_sink"),
}


def judge_running_water(
    water: Temperature | None,
    profile: Profile,
    *,
    ready_to_eat: bool = False,
    food_temperature: Temperature | None = None,
    water_minutes: Decimal = Decimal(0),
    other_minutes_over_cold: Decimal = Decimal(0),
) -> Judgement:
    """Judge thawing under running water.

    Ready-to-eat food may not pass the cold limit. Raw food may be above it only for a time in which the
    minutes in the water, in preparation and in chilling back all count; ``water_minutes`` counts wholly,
    because nobody knows when in the water the food passed the limit.
    """
    if water is None:
        return Judgement(Verdict.CANNOT_JUDGE, "water_temperature_unknown", (THAWING,), action="probe_water")
    judged = judge_at_most(water, profile.limit("thaw_water_max"), "use_colder_water", "water_too_warm")
    if not judged.passed:
        return judged
    if ready_to_eat:
        return _ready_to_eat_in_water(food_temperature, profile)
    return _raw_in_water(profile, water_minutes, other_minutes_over_cold)


def water_minutes_left(
    profile: Profile, water_minutes: Decimal, other_minutes_over_cold: Decimal = Decimal(0)
) -> Decimal:
    """Return the minutes that raw food may still stay in running water, zero if the time is up."""
    in_water = profile.value("thaw_water_minutes_max") - water_minutes
    over_cold = profile.value("thaw_over_cold_minutes_max") - water_minutes - other_minutes_over_cold
    return max(Decimal(0), min(in_water, over_cold))


def sink_between(last: Food | None, following: Food, *, sanitized_since: bool = False) -> Judgement:
    """Judge using the thaw sink again: clean and sanitize before, between kinds and before ready-to-eat.

    ``last`` is what the sink last held, ``None`` if nobody knows. Only the same kind of raw food may
    follow without cleaning; the sink is also cleaned and sanitized before the first and after the last.
    """
    sources = (
        Citation("2VAC5-585", "1620", note="sinks used to thaw are cleaned before and after"),
        Citation("common practice, no source", "one raw kind at a time", flag="PRACTICE"),
    )
    if sanitized_since:
        return Judgement(Verdict.PASS, "sink_sanitized", sources)
    if last is not None and last.raw_animal and same_kind(last, following) and last.high <= following.low:
        return Judgement(Verdict.PASS, "same_kind", sources)
    return Judgement(Verdict.FAIL, "sink_held_other_food", sources, action="clean_and_sanitize")


def _microwave(cooked_at_once: bool | None) -> Judgement:
    if cooked_at_once is None:
        return Judgement(Verdict.CANNOT_JUDGE, "cooking_follows_unknown", (THAWING,), action="cook_at_once")
    if cooked_at_once:
        return Judgement(Verdict.PASS, "allowed_microwave", (THAWING,))
    return Judgement(Verdict.FAIL, "microwave_then_held", (THAWING,), action="cook_at_once")


def _ready_to_eat_in_water(food_temperature: Temperature | None, profile: Profile) -> Judgement:
    if food_temperature is None:
        return Judgement(Verdict.CANNOT_JUDGE, "food_temperature_unknown", (THAWING,), action="probe_food")
    return judge_at_most(food_temperature, profile.limit("cold_holding_max"), "ask_since_when")


def _raw_in_water(profile: Profile, water_minutes: Decimal, other_minutes: Decimal) -> Judgement:
    total = profile.limit("thaw_over_cold_minutes_max")
    in_water = profile.limit("thaw_water_minutes_max")
    sources = (total.citation, in_water.citation)
    span = Range("min", high=min(total.value, in_water.value))
    details = assumed_detail(total, in_water)
    if water_minutes > in_water.value or water_minutes + other_minutes > total.value:
        return Judgement(Verdict.FAIL, "too_long", sources, span, "discard", details)
    details["minutes_left"] = water_minutes_left(profile, water_minutes, other_minutes)
    return Judgement(Verdict.PASS, "in_range", sources, span, details=details)
