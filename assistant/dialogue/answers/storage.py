"""Answers about where food is kept: its shelf, and which of two goes above."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, Value, answers, limit_text, plain
from assistant.dialogue.answers.food_words import capital, cook_text, food_of, said, stored, unexplained
from assistant.rules import storage
from assistant.rules.foods import Food, foods_by_name, with_eggs_to_order
from assistant.rules.storage import Pair

TIERS = {2: "produce", 3: "tier_145", 4: "tier_155", 5: "tier_165"}
_DRY = {"dry_goods", "dry_goods_rte", "shelf_stable_canned", "condiment_shelf_stable", "bakery_shelf_stable"}
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
    """Say the shelf of one food."""
    if not request.slots.foods:
        name = unexplained(request)
        if not name or request.slots.places:
            return Answer("unknown_question", intent="unsure")
        return Answer("unknown", {"food": name}, (storage.SEPARATION,))
    food = food_of(request, cooked=True)
    assert food is not None
    if request.slots.has("one_order"):
        food = with_eggs_to_order(food)
    clearance = request.profile.limit("floor_clearance_min")
    values: dict[str, Value] = {
        "food": capital(said(request)),
        "cook": cook_text(food, request),
        "clearance": f"{plain(clearance.value)} inches",
    }
    sources = (storage.SEPARATION, storage.COOK_ORDER, food.citation)
    if not food.known:
        values["food"] = said(request)
        return Answer("unknown_raw" if food.raw_animal and food.low else "unknown", values, sources)
    if food.served_raw:
        return Answer("served_raw", values, sources)
    if _is_opened_can(request, food):
        cold = request.profile.limit("cold_holding_max")
        return Answer("opened", {"cold": limit_text(cold)}, (*sources, cold.citation))
    if food.food_class in _DRY:
        return Answer("dry", values, (clearance.citation,))
    if request.slots.has("freezer_word") and not request.slots.has("where"):
        return Answer("frozen", values, sources)
    return Answer(_level(request, food), values, sources)


def _is_opened_can(request: Request, food: Food) -> bool:
    """True for what was in a can that is open: from then on it is kept as food made here."""
    canned = food.food_class == "shelf_stable_canned" or "tcs_once_opened" in food.notes
    return request.slots.has("pack_opened") and (canned or request.slots.has("can_goods"))


def _level(request: Request, food: Food) -> str:
    if food.food_class == "egg_shell_to_order":
        return "eggs_to_order" if food.low == food.high else "eggs"
    if food.raw_animal and not food.low:
        return "tier_165_or_ready"
    question = request.slots.food_question()
    plain_word = not request.slots.has("raw_word", "cooked_word", "as_tenderized", "as_stuffed", "as_ground")
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
    sources = (storage.SEPARATION, storage.COOK_ORDER, a.citation)
    if a.served_raw:
        return Answer("served_raw", values, sources)
    alike = [i for i, b in enumerate(others, 1) if place_key(a) == place_key(b) and b.served_raw is False]
    if len(others) == 1 and alike:
        return Answer("same", {**values, "b": said(request, alike[0])}, sources)
    refused = "no_" if len(others) == 1 else ""
    return Answer(refused + place_key(a), values, sources)


@answers("storage_pair")
def pair(request: Request) -> Answer:
    """Say whether the first food may be above, below or beside the second."""
    if not request.slots.foods:
        return Answer(
            "beside_no" if request.slots.has("beside") else "raw_below", sources=(storage.SEPARATION,)
        )
    a, b = stored(request), _second(request)
    assert a is not None
    if _raw_unknown(request):
        return Answer("raw_below", sources=(storage.SEPARATION,))
    name_a, name_b = said(request), request.slots.foods[1] if len(request.slots.foods) > 1 else b.name
    if request.slots.after("ready_to_eat_word") >= 0 and len(request.slots.foods) == 1:
        a, b, name_a, name_b = _turned(request, a, b, name_a, name_b)
    elif _points_back(request) or (request.slots.has("room_above") and len(request.slots.foods) > 1):
        a, b, name_a, name_b = b, a, name_b, name_a
    names = {"a": name_a, "b": name_b, "A": capital(name_a), "B": capital(name_b)}
    apart = ("beside", "above", "below", "top", "bottom")
    if request.slots.has("same_cooler") and not request.slots.has(*apart):
        return _one_cooler(a, b, names)
    if request.slots.has("beside") or not request.slots.has(
        "above", "below", "top", "bottom", "first_word", "stack_word"
    ):
        return _beside(a, b, names)
    found = storage.which_above(a, b)
    if found.placing is Pair.SEPARATE_NOT_STACKED:
        return Answer("never", names, found.citations)
    if found.placing in (Pair.EITHER, Pair.EITHER_KEEP_SEPARATE):
        return Answer("either" if found.placing is Pair.EITHER else "level", names, found.citations)
    a_on_top = found.placing is Pair.A_ABOVE
    if request.slots.has("which", "where", "who", "above_or"):
        top, bottom = (names["A"], names["b"]) if a_on_top else (names["B"], names["a"])
        return Answer("order", {"top": top, "bottom": bottom}, found.citations)
    wanted = "above" if request.slots.has("above", "top", "stack_word") else "below"
    right = a_on_top == (wanted == "above")
    return Answer(f"{wanted}_{'ok' if right else 'no'}", names, found.citations)


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
    """Say what may stand above or below one food."""
    food = stored(request)
    assert food is not None
    name = said(request)
    if request.slots.has("goes_under", "below"):
        fit, key = [text for need, text in _LEVELS if need >= food.high and need], "below"
    else:
        fit, key = [text for need, text in _LEVELS if need <= food.low], "above"
    sources = (storage.SEPARATION, storage.COOK_ORDER, food.citation)
    lowest = key == "below" and food.tier == max(TIERS)
    if lowest or not fit:
        return Answer(f"{key}_none", {"food": name}, sources)
    listed = f"{', '.join(fit[:-1])} or {fit[-1]}" if fit[1:] else fit[0]
    return Answer(key, {"food": name, "list": listed}, sources)


def _one_cooler(a: Food, b: Food, names: dict[str, str]) -> Answer:
    """Two foods in one cooler: always allowed, in the right order."""
    found = storage.which_above(a, b)
    if found.placing is Pair.SEPARATE_NOT_STACKED:
        return Answer("cooler_apart", {**names}, found.citations)
    if found.placing in (Pair.EITHER, Pair.EITHER_KEEP_SEPARATE):
        return Answer("cooler_level", {**names}, found.citations)
    top, bottom = ("a", "b") if found.placing is Pair.A_ABOVE else ("b", "a")
    return Answer("cooler_order", {"top": names[top], "bottom": names[bottom]}, found.citations)


def _points_back(request: Request) -> bool:
    """True for "the cakes are there, can the pork go above them": the one named last is to be placed."""
    slots = request.slots
    at = max(slots.after("above"), slots.after("below"))
    before = len(slots.food_spans) > 1 and all(start < at for start, _ in slots.food_spans)
    return before and bool({"it", "them", "those", "that"} & set(slots.words[at:]))


def _raw_unknown(request: Request) -> bool:
    """True for "the raw bulgogi over the kimchi": what is raw is no food that the tables know."""
    slots = request.slots
    at = max(slots.after("above"), slots.after("beside"))
    one = len(slots.foods) == 1 and slots.has("raw_word") and not slots.has("ready_to_eat_word")
    return one and -1 < slots.after("raw_word") < at <= slots.food_spans[0][0]


def _second(request: Request) -> Food:
    return stored(request, 1) or foods_by_name()["ready-to-eat food"]


def _turned(request: Request, a: Food, b: Food, name_a: str, name_b: str) -> tuple[Food, Food, str, str]:
    """Put "ready-to-eat food" first where it was said first."""
    if request.slots.after("ready_to_eat_word") < request.slots.food_spans[0][0]:
        return b, a, name_b, name_a
    return a, b, name_a, name_b


def _beside(a: Food, b: Food, names: dict[str, str]) -> Answer:
    if not (a.known and b.known):
        return Answer("beside_unknown", {"unknown": names["a"] if not a.known else names["b"]})
    if storage.same_need(a, b) and a.raw_animal:
        return Answer("same_food", names, (storage.SEPARATION,))
    if a.served_raw != b.served_raw and (a.raw_animal or b.raw_animal):
        return Answer(
            "eaten_raw", {**names, "A": names["A"] if a.served_raw else names["B"]}, (storage.SEPARATION,)
        )
    judged = storage.beside(a, b)
    if not judged.passed:
        return Answer("beside_no", names, judged.citations)
    lowest = judged.details.get("lowest")
    if lowest:
        lower = names["a"] if lowest == a.name else names["b"]
        return Answer("beside_lower", {**names, "lowest": lower}, judged.citations)
    return Answer("beside_ok", names, judged.citations)
