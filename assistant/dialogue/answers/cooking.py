"""Answers about how hot to cook a food, with every way to finish it."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, Value, answers, capital, plain
from assistant.dialogue.answers.advice import cooked_text, cooked_to, told
from assistant.dialogue.answers.food_words import (
    assumed,
    food_of,
    instant_text,
    said,
    step_text,
)
from assistant.rules.basis import Citation
from assistant.rules.cooking import CookTarget, cook_target, group_target
from assistant.rules.food_names import normal
from assistant.rules.foods import Food, unknown_food

COOKING = Citation("FDA Food Code 2022", "3-401.11")
BEANS = Citation("FDA Bad Bug Book", "kidney bean lectin", flag="MEMORY")
_BOTH = {
    "intact_or_not": "steak",
    "which_beef": "beef",
    "whole_or_injected": "pork",
    "which_burger": "burger",
    "which_sausage": "sausage",
    "which_ham": "ham",
    "wild_or_farmed": "game",
    "which_liver": "liver",
    "meat_or_plain": "stuffing",
    "to_order_or_pooled": "eggs",
}
"""Where a word names foods that are cooked differently, the reply that gives all of them."""
_MOST_LISTED = 3
_DISHES = {"rte_cooked_animal", "sauce_soup_tcs", "rte_seafood"}
"""Dishes called by one name while they cook and when they are done."""
_QUALITIES = ("as_stuffed", "as_ground", "as_tenderized", "as_wild", "as_pooled")
"""What settles which of several foods a word names."""


def more_ways(target: CookTarget) -> str:
    """Return the colder rows of a roast table in words (", or 140°F for 12 minutes, 130°F for ...")."""
    wanted = (140, 130)
    rows = [s for s in target.steps if s.temperature.unit == "F" and s.temperature.value in wanted]
    rows.sort(key=lambda step: -step.temperature.value)
    texts = [step_text(step) for step in rows if step is not target.main]
    return ", or " + ", ".join(texts) if texts else ""


def main_text(food: Food, request: Request) -> str:
    """Return the first way to finish ``food`` ("155°F for 17 seconds"); empty if none holds."""
    target = cook_target(food, request.profile)
    return step_text(target.main) if target else ""


def _food(request: Request) -> str:
    return capital(said(request)) if request.slots.foods else ""


@answers("cook_temp")
def cook_temp(request: Request) -> Answer:
    """Say how far a food is cooked."""
    slots = request.slots
    microwaved = slots.has("place_microwave")
    if not slots.foods:
        name = slots.said_as("food", "above", "below", "next")
        if microwaved:
            return microwave(request)
        if name:
            return told(request, "unknown", COOKING, food=name)
        return told(request, "ask_food", COOKING, ask="food")
    foods = [food for i in range(len(slots.foods)) if (food := food_of(request, i)) is not None]
    if slots.has("as_stuffed") and len(foods) > 1 and any(food.raw_animal for food in foods):
        return _stuffed(request)
    if microwaved and foods[0].raw_animal:
        return microwave(request)
    if len(set(slots.foods)) == 1 or all(food.species == "egg" for food in foods):
        return _one(request, max(foods, key=lambda food: food.high))
    return _several(request)


def _stuffed(request: Request) -> Answer:
    """Return the answer for anything stuffed with or made of raw animal food, whatever is around it."""
    target = group_target("stuffed", request.profile)
    name = capital(" with ".join(request.slots.foods[:2]))
    return Answer("stuffed", {"food": name, "target": step_text(target.main)}, (target.main.citation,))


def _one(request: Request, food: Food) -> Answer:
    question = request.slots.food_question()
    if food.species == "egg" and food.raw_animal and not request.slots.has("as_pooled"):
        return told(request, "eggs", COOKING, food.citation)
    if question is not None and not request.slots.has(*_QUALITIES) and "cook" in question.matters_for:
        key = _BOTH.get(question.question)
        if key:
            return told(request, key, COOKING, food.citation)
    if not food.known:
        return told(request, "unknown_raw", food.citation)
    if "must_be_cooked" in food.notes and "bean" in normal(food.name + said(request)):
        return told(request, "beans", BEANS)
    if food.served_raw:
        mollusc = food.species == "mollusc"
        return told(request, "raw_shellfish" if mollusc else "raw_service", food.citation)
    target = cook_target(food, request.profile)
    if target is None:
        return _no_target(request, food)
    return _target(request, food, target)


def _no_target(request: Request, food: Food) -> Answer:
    if food.cook_group == "maker":
        return told(request, "maker", food.citation)
    dish = food.reheat == "house" and food.food_class in _DISHES
    return told(request, "dish" if dish else "ready", food.citation)


def _target(request: Request, food: Food, target: CookTarget) -> Answer:
    key = {"plant": "plant", "roast": "roast", "stuffed": "stuffed", "eggs_held": "eggs_held"}.get(
        target.group, "target_or" if target.main.hold_s else "target"
    )
    if key == "eggs_held" and food.species != "egg":
        key = "target_or"
    question = request.slots.food_question()
    if food.food_class == "crustacean" and question is not None:
        key = "shrimp"
    sources = (target.main.citation, food.citation)
    values: dict[str, Value] = {
        "food": _food(request),
        "target": step_text(target.main),
        "instant": instant_text(target),
        "more_ways": more_ways(target),
        "sliced": _sliced(request, food),
    }
    return told(request, key, *sources, caution=assumed([target.main]), values=values)


def _sliced(request: Request, food: Food) -> str:
    whole = cooked_text("pork" if food.species == "pork" else "meat", request)
    return f"{whole}, injected {step_text(cooked_to('ground', request).main)}"


def _several(request: Request) -> Answer:
    """Say each food's figure; a dish named with raw foods is ready once it was cooked."""
    parts, steps, sources = [], [], []
    for i, name in enumerate(request.slots.foods[:_MOST_LISTED]):
        food = food_of(request, i) or unknown_food(name)
        target = cook_target(food, request.profile)
        if target is None:
            parts.append(f"{name}: ready to eat{' once cooked' if food.food_class in _DISHES else ''}")
            continue
        parts.append(f"{name}: {step_text(target.main)}")
        steps.append(target.main)
        sources.append(target.main.citation)
    return Answer("several", {"list": capital("; ".join(parts))}, (*sources, COOKING), caution=assumed(steps))


@answers("cook_microwave")
def microwave(request: Request) -> Answer:
    """Say how raw food is cooked in a microwave."""
    return told(request, "microwave")


@answers("par_cook")
def par_cook(request: Request) -> Answer:
    """Say what cooking in two steps needs."""
    first = request.profile.limit("noncontinuous_first_minutes_max")
    limits = {"finish": "noncontinuous_final_min"}
    return told(request, "plan", first.citation, limits=limits, first=plain(first.value))
