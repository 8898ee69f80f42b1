"""Answers about whether a food is done: holds, readings, color, resting, undercooked on purpose."""

from __future__ import annotations

from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, Value, answers, capital, degrees, limit_text
from assistant.dialogue.answers.advice import cooked_text, shown, told
from assistant.dialogue.answers.cooking import COOKING, main_text, more_ways
from assistant.dialogue.answers.food_words import (
    food_of,
    hold_text,
    instant_text,
    reading_of,
    said,
    step_text,
)
from assistant.dialogue.moments import hours_of
from assistant.rules import consumer_chart
from assistant.rules.basis import Temperature, Verdict
from assistant.rules.compare import colder_than, warmer_than
from assistant.rules.cook_special import STEAK, judge_microwave_cook
from assistant.rules.cooking import CookTarget, cook_target, judge_cook, judge_target
from assistant.rules.foods import Food
from assistant.rules.roasts import oven_limit
from assistant.rules.susceptible import ADVISORY
from intents.mentions import Measure

COLDEST_COOKED = 80
"""Fahrenheit; at a colder number nothing cooks yet ("fifteen or seventeen seconds")."""
LONGEST_HOLD_TOLD = Decimal(600)
"""Seconds; a longer time tells of cooling, holding or standing out, but for whole roasts."""
COOLEST_OVEN = 175
"""Fahrenheit; from here on the number may be an oven's or a smoker's; judgement."""
_STEAKS = {"beef_intact", "tenderized_injected", "whole_roast"}


def _held(request: Request, target: CookTarget | None) -> Decimal | None:
    """Return the seconds that food was held hot, as far as a time said can mean that."""
    measure: Measure | None = request.slots.measure("duration")
    held = hours_of(measure) * 3600 if measure else None
    roast = target is not None and target.group == "roast"
    return None if held is not None and held > LONGEST_HOLD_TOLD and not roast else held


@answers("cook_hold")
def hold(request: Request) -> Answer:
    """Say how long a food is held at a temperature."""
    food = food_of(request)
    if food is None:
        return Answer("ask_food", ask="food")
    target, reading = cook_target(food, request.profile), reading_of(request)
    values: dict[str, Value] = {"food": capital(said(request))}
    if target is None:
        return told(request, "none", food.citation, values=values)
    values |= {"main": step_text(target.main), "instant": instant_text(target)}
    reply, cited = "main", target.main.citation
    if reading is not None:
        values["reading"] = shown(reading)
        reached = [step for step in target.steps if step.reached_by(reading)]
        reply = "hold" if reached else "too_low"
    if reply == "hold":
        least = min(reached, key=lambda step: step.hold_s)
        values["hold"] = hold_text(least.hold_s)
        reply, cited = "hold" if least.hold_s else "at_once", least.citation
    return told(request, reply, cited, food.citation, values=values)


@answers("cook_done")
def done(request: Request) -> Answer:
    """Say whether a reading is enough; cooked food is judged as held food is."""
    food, reading, slots = food_of(request), reading_of(request), request.slots
    if food is None:
        return Answer("ask_food", ask="food")
    if reading is None:
        return Answer("ask_temp", ask="temperature|number")
    values: dict[str, Value] = {"food": capital(said(request)), "reading": shown(reading)}
    target = cook_target(food, request.profile)
    if slots.has("place_microwave"):
        judged = judge_microwave_cook(reading, request.profile, covered_stand_s=None)
        too_cold = judged.verdict is Verdict.FAIL
        return told(request, "microwave" if too_cold else "microwave_ok", *judged.citations, values=values)
    if target is None:
        return _ready(request, food, reading, values)
    values["main"] = step_text(target.main)
    sources = (target.main.citation, food.citation)
    if reading.in_unit("F") < COLDEST_COOKED:
        return told(request, "cold", limits={"hours": "time_control_hours_max"}, values=values)
    if reading.in_unit("F") >= COOLEST_OVEN:
        return told(request, "inside", *sources, values=values)
    if slots.has("as_cooked") and colder_than(reading, request.profile.limit("reheat_house_min")):
        return told(request, "either", *sources, values=values)
    return _judged(target, reading, _held(request, target), {**values, "food": food.name}, food)


def _judged(
    target: CookTarget, reading: Temperature, held: Decimal | None, values: dict[str, Value], food: Food
) -> Answer:
    judged = judge_target(target, reading, held)
    met = [step for step in target.steps if step.reached_by(reading) and step.hold_s <= (held or 0)]
    values["main"] = step_text(max(met, key=lambda step: step.temperature.value) if met else target.main)
    values["or_instant"] = ""
    if target.instant is not None and target.main.hold_s:
        values["or_instant"] = f", or go to {shown(target.instant.temperature)}"
    here = judged.details.get("hold_here_s")
    values["hold"] = hold_text(here) if isinstance(here, Decimal) else ""
    key = {"in_range": "pass", "too_low": "fail", "hold_unknown": "hold", "hold_too_short": "short"}[
        judged.reason
    ]
    return Answer(key, values, (*judged.citations, food.citation), judged.verdict)


@answers("cook_color")
def color(request: Request) -> Answer:
    """Say that color proves nothing, and judge the number if one was said."""
    food, reading = food_of(request), reading_of(request)
    if food is None or not main_text(food, request):
        return Answer("probe_general", sources=(COOKING,))
    values: dict[str, Value] = {"target": main_text(food, request)}
    if reading is None:
        return Answer("probe", values, (COOKING, food.citation))
    held = _held(request, cook_target(food, request.profile))
    judged = judge_cook(food, reading, request.profile, held)
    values["reading"] = shown(reading)
    key = "fail" if judged.verdict is Verdict.FAIL else "pass"
    return Answer(key, values, (*judged.citations, food.citation), judged.verdict)


@answers("cook_rare")
def rare(request: Request) -> Answer:
    """Say under which conditions food may be served raw or undercooked."""
    food = food_of(request)
    limits = {"surface": "steak_surface_min", "rare": "cook_rare_beef_min"}
    egg = food is not None and "egg" in food.allergens
    if food is None or not (food.raw_animal or food.served_raw or egg):
        return told(request, "which", ADVISORY, STEAK, limits=limits)
    key, target = _rare_key(request, food), cook_target(food, request.profile)
    values: dict[str, Value] = {
        "food": capital(said(request)),
        "more_ways": more_ways(target) if target else "",
    }
    values["target"] = main_text(food, request) or cooked_text("poultry", request)
    return told(request, key, ADVISORY, STEAK, food.citation, limits=limits, values=values)


def _ready(request: Request, food: Food, reading: Temperature, values: dict[str, Value]) -> Answer:
    """Judge food that needs no cooking by the limit of cold or hot holding, whichever it is nearer to."""
    hot, cold = request.profile.limit("hot_holding_min"), request.profile.limit("cold_holding_max")
    if reading.in_unit("F") < COLDEST_COOKED:
        return told(request, "ready_warm" if warmer_than(reading, cold) else "ready_cold", values=values)
    return told(request, "ready_low" if colder_than(reading, hot) else "ready_hot", values=values)


def _rare_key(request: Request, food: Food) -> str:
    if food.species == "egg" or ("egg" in food.allergens and food.ready_to_eat):
        return "egg"
    if food.species == "beef" and food.food_class in _STEAKS:
        return _steak_key(request, food)
    if food.cook_group in ("poultry", "stuffed", "wild_game", "unknown"):
        return "poultry"
    if food.food_class == "mollusc_for_raw_service":
        return "raw_bar"
    if food.species in ("fish", "crustacean", "mollusc"):
        return "fish"
    return "ground" if food.cook_group == "ground" else "other"


def _steak_key(request: Request, food: Food) -> str:
    if food.food_class == "whole_roast" and "steak" not in said(request):
        return "roast"
    if "cook_rare_beef_min" in request.profile.limits:
        return "rare_beef"
    open_word = "ask_intact" in food.notes and not request.slots.has("as_tenderized")
    return "steak" if food.food_class == "beef_intact" or open_word else "steak_tenderized"


@answers("cook_rest")
def rest(request: Request) -> Answer:
    """Say whether resting counts."""
    food = food_of(request)
    target = cook_target(food, request.profile) if food else None
    if food is None or target is None:
        return Answer("other", {"target": "the food's own limit"}, (COOKING,))
    values: dict[str, Value] = {"target": step_text(target.main), "more_ways": more_ways(target)}
    return Answer(
        "roast" if target.group == "roast" else "other", values, (target.main.citation, food.citation)
    )


@answers("cook_marinade")
def marinade(request: Request) -> Answer:
    """Say what a used marinade, breading or egg wash may still be used for."""
    return told(request, "answer", COOKING, target=cooked_text("poultry", request))


@answers("cook_chart")
def chart(request: Request) -> Answer:
    """Compare the home chart with the figure in force."""
    food = food_of(request)
    if food is None or not main_text(food, request):
        return Answer("pack", sources=(COOKING,))
    values: dict[str, Value] = {"target": main_text(food, request)}
    row = consumer_chart.judge_by_chart(consumer_chart.chart_kind(food), Temperature(Decimal(0)), Decimal(0))
    assert row.limits is not None
    assert row.limits.low is not None
    values["chart"] = degrees(row.limits.low, row.limits.unit)
    return Answer("both", values, (COOKING, *row.citations))


@answers("cook_oven")
def oven(request: Request) -> Answer:
    """Say how hot the oven is for a whole roast."""
    food = food_of(request)
    if food is not None and food.cook_group != "roast":
        return Answer("other", {"target": main_text(food, request) or "its own limit"}, (COOKING,))
    small, big = Decimal(5), Decimal(12)
    limits = {
        "dry_small": oven_limit("still_dry", small)[0],
        "dry_big": oven_limit("still_dry", big)[0],
        "fan_small": oven_limit("convection", small)[0],
        "fan_big": oven_limit("convection", big)[0],
        "wet": oven_limit("high_humidity", big)[0],
    }
    values: dict[str, Value] = {key: limit_text(limit) for key, limit in limits.items()}
    return Answer("ovens", values, (limits["dry_small"].citation,))
