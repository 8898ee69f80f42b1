"""Answers about where food is kept: its shelf, and which of two goes above."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, Value, answers, capital
from assistant.dialogue.answers.advice import told
from assistant.dialogue.answers.arranged import arranged, relation_told
from assistant.dialogue.answers.food_words import cook_text, food_of, said, stored
from assistant.dialogue.answers.places import kinds_said
from assistant.rules import storage
from assistant.rules.foods import Food
from assistant.rules.storage import Pair

SOURCES = (storage.SEPARATION, storage.COOK_ORDER)
TIERS = {2: "produce", 3: "tier_145", 4: "tier_155", 5: "tier_165"}
_DRY = {"dry_goods", "dry_goods_rte", "condiment_shelf_stable", "bakery_shelf_stable"}
_CANNED = "shelf_stable_canned"
_WHICH = {
    "raw_or_cooked": {5: "tier_165_or_ready"},
    "intact_or_not": {4: "tier_145_or_155"},
    "which_beef": {4: "tier_145_or_155"},
}
"""Where a word names two foods, the reply that gives both places."""


def place_key(food: Food) -> str:
    """Return the reply key of a food's level."""
    if food.ready_to_eat or food.served_raw:
        return "ready"
    return TIERS[food.tier]


@answers("storage_place")
def place(request: Request) -> Answer:
    """Say the shelf of one food; one that no table knows goes to the bottom."""
    food = food_of(request, cooked=True)
    if food is None:
        name = request.slots.said_as("food", "above", "below", "next")
        if not name:
            return Answer("which", ask="food")
        return Answer("unknown", {"food": name}, (storage.SEPARATION,))
    values: dict[str, Value] = {
        "food": capital(said(request)) if food.known else said(request),
        "cook": cook_text(food, request),
    }
    limits = {"clearance": "floor_clearance_min"}
    if not food.known:
        reply = "unknown_raw" if food.raw_animal and food.low else "unknown"
    elif food.served_raw:
        reply = "served_raw"
    elif food.food_class == _CANNED or "tcs_once_opened" in food.notes:
        reply = "canned"
    elif food.food_class in _DRY:
        return told(request, "dry", limits=limits, values=values)
    else:
        reply = "frozen" if "freezer" in kinds_said(request) else _level(request, food)
    return told(request, reply, *SOURCES, food.citation, limits=limits, values=values)


def _level(request: Request, food: Food) -> str:
    if food.food_class == "egg_shell_to_order":
        return "eggs_to_order" if food.low == food.high else "eggs"
    if food.raw_animal and not food.low:
        return "tier_165_or_ready"
    question = request.slots.food_question()
    plain_word = not request.slots.has("as_raw", "as_cooked", "as_tenderized", "as_stuffed", "as_ground")
    if question is not None and plain_word and "place" in question.matters_for:
        return _WHICH.get(question.question, {}).get(food.tier, place_key(food))
    return place_key(food)


@answers("storage_with")
def goes_with(request: Request) -> Answer:
    """Say with which of the foods named the first one shares its level."""
    a = food_of(request)
    assert a is not None
    others = [food for i in range(1, len(request.slots.foods)) if (food := food_of(request, i))]
    values: dict[str, Value] = {"A": capital(said(request)), "cook": cook_text(a, request)}
    sources = (*SOURCES, a.citation)
    if a.served_raw:
        return Answer("served_raw", values, sources)
    alike = [i for i, b in enumerate(others, 1) if place_key(a) == place_key(b) and b.served_raw is False]
    if len(others) == 1 and alike:
        return Answer("same", {**values, "b": said(request, alike[0])}, sources)
    refused = "no_" if len(others) == 1 else ""
    return Answer(refused + place_key(a), values, sources)


@answers("storage_pair")
def pair(request: Request) -> Answer:
    """Say whether one food may be above, below or beside another; where that is unclear, the order."""
    a, b = stored(request), stored(request, 1)
    if a is None or b is None:
        return Answer("raw_below", sources=(storage.SEPARATION,))
    a_name, b_name = said(request), said(request, 1)
    names: dict[str, Value] = {"a": a_name, "b": b_name, "A": capital(a_name), "B": capital(b_name)}
    found = storage.which_above(a, b)
    a_on_top = found.placing is Pair.A_ABOVE
    names |= {"top": names["A"], "bottom": b_name} if a_on_top else {"top": names["B"], "bottom": a_name}
    if not relation_told(request.slots):
        return _beside(a, b, names)
    if found.placing is Pair.SEPARATE_NOT_STACKED:
        return Answer("never", names, found.citations)
    if found.placing in (Pair.EITHER, Pair.EITHER_KEEP_SEPARATE):
        return Answer("either" if found.placing is Pair.EITHER else "level", names, found.citations)
    asked = arranged(request.slots)
    if asked is None:
        return Answer("order", names, found.citations)
    return Answer("right" if a_on_top == (asked == (0, 1)) else "wrong", names, found.citations)


def _beside(a: Food, b: Food, names: dict[str, Value]) -> Answer:
    if not (a.known and b.known):
        return Answer("beside_unknown", {"unknown": names["a"] if not a.known else names["b"]})
    if storage.same_need(a, b) and a.raw_animal:
        return Answer("same_food", names, (storage.SEPARATION,))
    if a.served_raw != b.served_raw and (a.raw_animal or b.raw_animal):
        eaten = names["A"] if a.served_raw else names["B"]
        return Answer("eaten_raw", {**names, "A": eaten}, (storage.SEPARATION,))
    judged, found = storage.beside(a, b), storage.which_above(a, b)
    if not judged.passed:
        never = found.placing is Pair.SEPARATE_NOT_STACKED
        return Answer("never" if never else "beside_no", names, judged.citations)
    lowest = judged.details.get("lowest")
    if lowest:
        lower = names["a"] if lowest == a.name else names["b"]
        return Answer("beside_lower", {**names, "lowest": lower}, judged.citations)
    return Answer("beside_ok", names, judged.citations)


_LEVELS = (
    (0, "ready-to-eat food"),
    (1, "unwashed produce"),
    (145, "raw fish and whole cuts"),
    (155, "raw ground meat"),
    (165, "raw poultry"),
)
"""What stands on the shelves from top to bottom, with the cooking that it needs (3-401.11)."""


@answers("storage_around")
def around(request: Request) -> Answer:
    """Say what may stand above and what below one food."""
    food = stored(request)
    assert food is not None
    over = [text for need, text in _LEVELS if need <= food.low]
    under = [text for need, text in _LEVELS if need >= food.high and need and food.tier != max(TIERS)]
    values: dict[str, Value] = {"food": said(request), "over": _listed(over), "under": _listed(under)}
    sources = (*SOURCES, food.citation)
    return Answer("both" if over and under else "over" if over else "under", values, sources)


def _listed(texts: list[str]) -> str:
    return f"{', '.join(texts[:-1])} or {texts[-1]}" if texts[1:] else "".join(texts)
