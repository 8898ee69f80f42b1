"""Answers about where food is kept: its shelf, and which of two goes above."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers
from assistant.rules import storage
from assistant.rules.foods import Food, with_eggs_to_order
from assistant.rules.storage import Pair


def _food(request: Request, index: int) -> Food:
    food = request.slots.food(index)
    assert food is not None
    return with_eggs_to_order(food) if request.site.kitchen.eggs_only_to_order else food


def _name(request: Request, index: int) -> str:
    said = request.slots.foods[index]
    return said[:1].upper() + said[1:]


@answers("storage_place")
def place(request: Request) -> Answer:
    """Say the shelf of one food."""
    food = _food(request, 0)
    sources = (storage.SEPARATION, storage.COOK_ORDER, food.citation)
    values = {"food": _name(request, 0), "cook": f"{food.high}°F"}
    if not food.known:
        return Answer("unknown", {"food": request.slots.foods[0]}, sources)
    if food.served_raw:
        return Answer("served_raw", values, sources)
    if food.ready_to_eat:
        return Answer("ready", values, sources)
    reply = {2: "produce", 3: "tier_145", 4: "tier_155", 5: "tier_165"}[food.tier]
    return Answer(reply, values, sources)


@answers("storage_pair")
def pair(request: Request) -> Answer:
    """Say whether the first food may be above, below or beside the second."""
    a, b = _food(request, 0), _food(request, 1)
    names = {
        "a": request.slots.foods[0],
        "b": request.slots.foods[1],
        "A": _name(request, 0),
        "B": _name(request, 1),
    }
    if request.slots.has("beside") or not request.slots.has("above", "below", "top", "bottom"):
        return _beside(a, b, names)
    found = storage.which_above(a, b)
    if found.placing is Pair.SEPARATE_NOT_STACKED:
        return Answer("never", names, found.citations)
    if found.placing in (Pair.EITHER, Pair.EITHER_KEEP_SEPARATE):
        return Answer("either" if found.placing is Pair.EITHER else "level", names, found.citations)
    a_on_top = found.placing is Pair.A_ABOVE
    if request.slots.has("which", "what", "where"):
        top, bottom = (names["A"], names["b"]) if a_on_top else (names["B"], names["a"])
        return Answer("order", {"top": top, "bottom": bottom}, found.citations)
    wanted = "above" if request.slots.has("above", "top") else "below"
    right = a_on_top == (wanted == "above")
    return Answer(f"{wanted}_{'ok' if right else 'no'}", names, found.citations)


def _beside(a: Food, b: Food, names: dict[str, str]) -> Answer:
    judged = storage.beside(a, b)
    if not judged.passed:
        return Answer("beside_no", names, judged.citations)
    lowest = judged.details.get("lowest")
    if lowest:
        lower = names["a"] if lowest == a.name else names["b"]
        return Answer("beside_lower", {**names, "lowest": lower}, judged.citations)
    return Answer("beside_ok", names, judged.citations)
