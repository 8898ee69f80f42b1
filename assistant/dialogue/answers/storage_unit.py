"""Answers about a whole unit: the order of several foods, too little room, and what stands wrongly."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, Value, answers, capital
from assistant.dialogue.answers.advice import always, told
from assistant.dialogue.answers.arranged import arranged
from assistant.dialogue.answers.food_words import cook_text, food_of, said, stored
from assistant.dialogue.answers.storage import SOURCES, place_key
from assistant.rules import storage
from assistant.rules.foods import Food
from assistant.rules.shelf_plan import LIMITED_SPACE, find_faults
from assistant.rules.storage import Order, kept_apart

_PRODUCE = {"produce_unwashed", "plant_raw_to_cook"}


def foods_named(request: Request) -> dict[str, Food]:
    """Return the foods of an utterance by the name they were called, in the order said."""
    count = len(request.slots.foods)
    return {said(request, i): food for i in range(count) if (food := stored(request, i)) is not None}


def _levels_text(order: Order, names: dict[str, Food]) -> str:
    """Return levels as said: "lettuce, then salmon and pork side by side, then chicken"."""
    spoken = [[name for name, food in names.items() if food in level] for level in order.levels]
    return ", then ".join(" and ".join(level) for level in spoken if level)


@answers("storage_order")
def order(request: Request) -> Answer:
    """Say the order of the foods named, from top to bottom."""
    names = foods_named(request)
    if len(names) < 2:
        return Answer("general", sources=SOURCES)
    found = storage.storage_order(names.values())
    if found.apart:  # "steak" as either kind finds no level beside eggs: take the stricter kind
        count = len(request.slots.foods)
        names = {said(request, i): food for i in range(count) if (food := food_of(request, i)) is not None}
        found = storage.storage_order(names.values())
    text = _levels_text(found, names)
    apart = " and ".join(name for name, food in names.items() if food in found.apart)
    if apart:
        return Answer("order_apart", {"order": text, "apart": capital(apart)}, SOURCES)
    return Answer("order", {"order": text}, SOURCES)


@answers("storage_uncovered")
def uncovered(request: Request) -> Answer:
    """Say that food is covered, and when it may stand open."""
    food = food_of(request)
    exempt = food is not None and food.food_class in _PRODUCE and not food.ready_to_eat
    return told(request, "exempt" if exempt else "cover", storage.COVERING)


always("storage_floor", clearance="floor_clearance_min")


@answers("storage_front")
def front(request: Request) -> Answer:
    """Say the order in a cold top or a drawer, the front first."""
    names = foods_named(request)
    source = storage.FRONT
    if len(names) > 1:
        return Answer(
            "order",
            {"order": _levels_text(storage.front_to_back(names.values()), names)},
            (*SOURCES[:1], source),
        )
    if len(names) == 1:
        name, food = next(iter(names.items()))
        where = {"ready": "at the back", "produce": "near the back", "tier_165": "in front"}
        text = capital(f"{name} {where.get(place_key(food), 'in the middle')}")
        return Answer("place", {"place": text}, (source,))
    return Answer("general", sources=(source,))


@answers("storage_wrong")
def wrong(request: Request) -> Answer:
    """Say what to move where one food stands over another."""
    if len(request.slots.foods) < 2:
        values: dict[str, Value] = {"raw": said(request), "other": "the food below"}
        return Answer("fault_ready", values, SOURCES)
    told = arranged(request.slots)
    (high, upper), (low, lower) = ((said(request, i), stored(request, i)) for i in told or (0, 1))
    assert upper is not None
    assert lower is not None
    faults = find_faults([(upper, 1), (lower, 2 if told else 1)])
    if not faults:
        return Answer("fine" if told and not kept_apart(upper, lower) else "apart", sources=SOURCES)
    raw, other = (high, low) if faults[0].upper is upper else (low, high)
    if told is None:
        return Answer("beside", {"raw": raw, "other": other}, SOURCES)
    if faults[0].ready_to_eat_below or not faults[0].lower.raw_animal:
        return Answer("fault_ready", {"raw": raw, "other": other}, SOURCES)
    return Answer("fault_raw", {"lower": raw, "upper": other}, SOURCES)


@answers("storage_drip")
def drip(request: Request) -> Answer:
    """Say what to do with food that raw juice reached."""
    named = foods_named(request).items()
    names = {name: food for name, food in named if food.species != "beverage"}  # "juice" is what dripped
    if len(names) < 2:
        return Answer("one", sources=(storage.SEPARATION,))
    (first, a), (second, b) = list(names.items())[:2]
    other, food = (first, a) if b.raw_animal and not a.raw_animal else (second, b)
    source = a if food is b else b
    if food.ready_to_eat or food.served_raw:
        return Answer("ready", {"other": other}, (storage.SEPARATION,))
    if not food.raw_animal:
        return Answer("produce", {"other": other}, (storage.SEPARATION,))
    higher = max(food, source, key=lambda each: each.high)
    return Answer("raw", {"other": other, "cook": cook_text(higher, request)}, (storage.SEPARATION,))


_NOT_FOR_FOOD = {
    "staff_food": "staff",
    "storage_pipes": "pipes",
    "personal_things": "personal",
    "ice_use": "ice",
}
"""Intents of what is no food of the guests' or no place for food, and their place in the rules."""


@answers(*_NOT_FOR_FOOD)
def not_for_food(request: Request) -> Answer:
    """Say where food and drink may not stand, and what may not stand with them."""
    return Answer("answer", sources=(storage.PLACES[_NOT_FOR_FOOD[request.intent]],))


always("storage_shelf", *SOURCES, poultry="cook_poultry_min")
always("storage_limited", storage.SEPARATION, LIMITED_SPACE)
always("storage_frozen_packs", storage.SEPARATION)
always("storage_chemicals", *storage.chemical_place(above_food=True, beside_food=True).citations)
always("storage_produce", storage.SEPARATION)
always("damaged_goods", storage.damaged_goods())
