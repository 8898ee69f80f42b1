"""What the food topics share: the food that was meant, its name, and figures in words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal

from assistant.dialogue.answer import Request, degrees, plain
from assistant.rules.basis import Limit, Temperature, TemperatureUnit
from assistant.rules.cooking import CookStep, CookTarget, cook_target
from assistant.rules.food_names import find_food, normal
from assistant.rules.foods import Food, as_class, unknown_food, with_eggs_to_order
from intents.readings import LEAST_BARE

_QUALITIES = {
    "as_stuffed": "stuffed",
    "as_tenderized": "needled",
    "as_ground": "ground",
    "as_wild": "wild",
    "as_pooled": "pooled",
    "as_raw_service": "for raw service",
    "as_cut": "cut",
    "as_acidified": "acidified",
    "as_powdered": "powdered",
    "as_uht": "uht",
}
"""What may be said of a food anywhere in the sentence, and the word by which the rules know it."""
_DONE_NOW = {"as_cut": "tcs_once_cut", "pack_opened": "tcs_once_opened"}
"""What may be told as done of a food, and the note that it needs control from then on."""
_EITHER = {"intact_or_not", "which_beef"}
_INTACT, _POULTRY = 145, 165
_MINUTE = 60


_CONTROLLED_ONCE = {"tcs_once_cut": "Cut", "tcs_once_opened": "Opened", "tcs_once_mixed": "Mixed"}
"""Notes of foods that need temperature control as soon as that is done to them."""


def controlled_once(food: Food | None) -> str | None:
    """Return after what a known food without temperature control needs it ("Cut"), "" for never.

    ``None`` for a food that is not known or needs it anyway.
    """
    if food is None or not food.known or food.tcs or food.raw_animal:
        return None
    return next((word for note, word in _CONTROLLED_ONCE.items() if note in food.notes), "")


_MADE_ELSEWHERE = {"condiment_shelf_stable", "dressing_acid"}
"""Sauces that keep because a plant made them; the same made in the kitchen is not tested."""


def made_here(request: Request, food: Food | None) -> Food | None:
    """Return homemade mayonnaise or dressing as the sauce that it is: kept cold, seven days."""
    if food is None or food.food_class not in _MADE_ELSEWHERE or not request.slots.has("as_homemade"):
        return food
    return as_class(food, "sauce_soup_tcs", food.name)


def food_of(request: Request, index: int = 0, *, cooked: bool = False) -> Food | None:
    """Return the food said at ``index`` with what else was said of it, or ``None`` if fewer were said.

    "The steaks, the ones run through the needler" are needled steaks. What is said of one food only is
    taken of the first. ``cooked`` takes "already cooked" as said of the food, not as a wish.
    """
    food = request.slots.food(index)
    if food is None:
        return None
    if food.known and food.ready_to_eat and food.tcs and _said_raw(request, index):
        return unknown_food(f"raw {request.slots.foods[index]}")
    if index == 0:
        food = _with_qualities(request, food)
    elif food.species == "egg" and request.slots.has("as_pooled"):
        food = find_food("pooled eggs") or food
    if index == 0 and cooked and request.slots.has("as_cooked") and food.raw_animal:
        food = find_food(f"cooked {request.slots.foods[0]}") or food
    return with_eggs_to_order(food) if request.site.kitchen.eggs_only_to_order else food


def _said_raw(request: Request, index: int) -> bool:
    """True for "the raw lasagna": not the cooked dish that the tables know by that name.

    "Raw" counts where it is no part of the name and belongs to no other food: beside it, or anywhere where
    nothing else is named ("crab stuffing, leftover, raw").
    """
    slots = request.slots
    if index >= len(slots.food_spans):
        return False
    start, end = slots.food_spans[index]
    taken = {at for one, other in slots.food_spans for at in range(one, other)}
    raw = {at for at, name in slots.concept_order if name == "as_raw"} - taken
    return bool(raw & {start - 1, end, end + 1}) or (len(slots.food_spans) == 1 and bool(raw))


def _with_qualities(request: Request, food: Food) -> Food:
    for concept, word in _QUALITIES.items():
        if concept in request.slots.denied_now():
            continue
        if told_apart(request, concept) and word not in normal(request.slots.foods[0]):
            found = find_food(f"{word} {request.slots.foods[0]}") or find_food(
                f"{request.slots.foods[0]} {word}"
            )
            food = found or food
    if food.food_class == "plant_raw_to_cook" and request.slots.has_now("as_frozen", "as_thawed"):
        food = replace(food, tcs=True)  # blanched before it was frozen
    for concept, note in _DONE_NOW.items():
        uncut = concept == "as_cut" and request.slots.has("as_whole")  # shut again is nothing once opened
        if note in food.notes and concept in request.slots.concepts and not uncut:
            food = replace(food, tcs=True, notes=tuple(each for each in food.notes if each != note))
    return food


def as_told(food: str, told: frozenset[str], denied: frozenset[str] = frozenset()) -> str:
    """Return a food's name with the qualities told that make another food of it, without those denied."""
    for concept, word in _QUALITIES.items():
        if concept in denied:
            food = " ".join(each for each in food.split() if each != word) or food
        elif concept in told and " " not in word and word not in normal(food):
            first, _, base = food.partition(" ")
            names = (f"{word} {food}", *([f"{word} {base}"] if first in _QUALITIES.values() else ()))
            known = ((name, find_food(name)) for name in names)
            food = next((name for name, found in known if found not in (None, find_food(food))), food)
    return food


def stored(request: Request, index: int = 0) -> Food | None:
    """Return the food at ``index`` as the storage rule compares it.

    "Steak" may be intact or needled: it counts as either, so it goes below whole cuts and above ground meat.
    """
    food = food_of(request, index)
    question = request.slots.food_question(index)
    if food is None or question is None or question.question not in _EITHER:
        return food
    return replace(food, low=_INTACT) if food.low > _INTACT and food.high < _POULTRY else food


def told_apart(request: Request, concept: str) -> bool:
    """True when ``concept`` was said outside the names of the other foods ("salmon, ground beef")."""
    slots = request.slots
    places = [at for at, name in slots.concept_order if name == concept]
    inside = [any(start <= at < end for start, end in slots.food_spans[1:]) for at in places]
    return slots.has(concept) and not (places and all(inside))


def reading_of(request: Request) -> Temperature | None:
    """Return the temperature said; "at one fifty" may have been taken for a time of day."""
    unit = request.site.kitchen.units
    found = _not_counted(request, unit) or request.slots.temperature(unit)
    if found is not None or not request.slots.clocks:
        return found
    hour, minute = request.slots.clocks[0].removesuffix("?").split(":")
    value = Decimal(int(hour) * 100 + int(minute) if int(minute) else int(hour))
    return None if unit == "F" and value < LEAST_BARE else Temperature(value, unit)  # "left it at six"


def _not_counted(request: Request, unit: TemperatureUnit) -> Temperature | None:
    """Return the number of "twelve oysters at fifty" that counts nothing, where two bare ones were said."""
    slots = request.slots
    numbers = slots.all_measures("number")
    if len(numbers) < 2 or slots.measure("temperature") is not None:
        return None
    roles = [(m, slots.roles(m.start, m.end)) for m in numbers]
    uncounted = [m for m, of in roles if "count" not in of]
    read = uncounted if len(uncounted) == 1 else [m for m, of in roles if "value" in of]
    return Temperature(read[0].value, unit) if len(read) == 1 else None


def said(request: Request, index: int = 0) -> str:
    """Return the food at ``index`` as it was said."""
    return request.slots.foods[index]


def hold_text(seconds: Decimal) -> str:
    """Return a time in words ("17 seconds", "4 minutes", "1 minute 30 seconds")."""
    whole, rest = divmod(int(seconds), _MINUTE)
    if not whole or (whole < 3 and rest):
        return f"{plain(seconds)} seconds"
    minutes = f"{whole} minute{'s' if whole != 1 else ''}"
    return f"{minutes} {rest} seconds" if rest else minutes


def step_text(step: CookStep) -> str:
    """Return one way to finish a food ("155°F for 17 seconds")."""
    at = degrees(step.temperature.value, step.temperature.unit)
    return f"{at} for {hold_text(step.hold_s)}" if step.hold_s else at


def instant_text(target: CookTarget) -> str:
    """Return the other way that needs no hold (", or 158°F at once"); empty where the first needs none."""
    ready = target.instant
    if ready is None or not target.main.hold_s:
        return ""
    return f", or {degrees(ready.temperature.value, ready.temperature.unit)} at once"


def cook_text(food: Food, request: Request) -> str:
    """Return how hot a raw food is cooked here, without the hold."""
    target = cook_target(food, request.profile)
    if target is None:
        return ""
    return degrees(target.main.temperature.value, target.main.temperature.unit)


def assumed(items: Iterable[Limit | CookStep | None]) -> str:
    """Return the caution to add where a figure stands in for one that was not read for this place."""
    return "assumed" if any(item is not None and item.assumed for item in items) else ""
