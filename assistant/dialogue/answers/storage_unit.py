"""Answers about a whole unit: the order of several foods, too little room, and what stands wrongly."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, Value, answers, limit_text, plain
from assistant.dialogue.answers.food_words import capital, cook_text, food_of, said, stored
from assistant.dialogue.answers.storage import place_key
from assistant.rules import storage
from assistant.rules.basis import Citation
from assistant.rules.foods import Food
from assistant.rules.shelf_plan import LIMITED_SPACE, find_faults
from assistant.rules.storage import Order, kept_apart

_SOURCES = (storage.SEPARATION, storage.COOK_ORDER)
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
        return Answer("general", sources=_SOURCES)
    found = storage.storage_order(names.values())
    if found.apart:  # "steak" as either kind finds no level beside eggs: take the stricter kind
        count = len(request.slots.foods)
        names = {said(request, i): food for i in range(count) if (food := food_of(request, i)) is not None}
        found = storage.storage_order(names.values())
    text = _levels_text(found, names)
    apart = " and ".join(name for name, food in names.items() if food in found.apart)
    if apart:
        return Answer("order_apart", {"order": text, "apart": capital(apart)}, _SOURCES)
    return Answer("limited" if request.slots.has("limited_space") else "order", {"order": text}, _SOURCES)


@answers("storage_limited")
def limited(request: Request) -> Answer:
    """Say how raw foods share the bottom shelf."""
    ready = request.slots.has("ready_to_eat_word") or any(
        f.ready_to_eat for f in foods_named(request).values()
    )
    key = "one_shelf" if ready and request.slots.has("limited_space") else "raw"
    return Answer(key, sources=(storage.SEPARATION, LIMITED_SPACE))


@answers("storage_frozen_packs")
def frozen_packs(request: Request) -> Answer:
    """Say whether raw and ready-to-eat frozen packs may mix."""
    foods = list(foods_named(request).values())
    upper = foods[0] if foods else None
    lower = foods[1] if len(foods) > 1 else None
    opened = request.slots.has("pack_opened")
    sealed = request.slots.has("sealed_pack") and not opened
    key = "sealed" if sealed else "open_no" if opened else "depends"
    if upper is None or lower is None:
        return Answer(key, sources=(storage.SEPARATION,))
    judged = storage.frozen_packs(upper, lower, frozen=True, commercially_packed=sealed, unopened=sealed)
    return Answer(key, sources=judged.citations)


@answers("storage_uncovered")
def uncovered(request: Request) -> Answer:
    """Say whether food may stand open."""
    food = food_of(request)
    cooling = request.slots.has("still_cooling")
    exempt = food is not None and food.food_class in _PRODUCE and not food.ready_to_eat
    cold = request.profile.limit("cold_holding_max")
    slots = request.slots
    of_lids = slots.has("lid_word_food") and not slots.has("uncovered_word", "without_word", "not")
    while_cooling = "cooling_cover" if of_lids else "cooling"
    lidded = of_lids and (
        slots.has("need", "should", "do") or bool({"on", "over", "cover"} & set(slots.words))
    )
    must = "cover" if lidded and not {"off", "open"} & set(slots.words) else "must_cover"
    if food is None:
        key = while_cooling if cooling else must
        return Answer(key, {"cold": limit_text(cold)}, (storage.COVERING,))
    judged = storage.uncovered(food, cooling=cooling, exempt=exempt, protected_above=True)
    key = {"open_while_cooling": while_cooling, "needs_no_cover": "exempt"}.get(judged.reason, must)
    return Answer(key, {"cold": limit_text(cold)}, judged.citations)


@answers("storage_floor")
def floor(request: Request) -> Answer:
    """Say how far food stays off the floor."""
    clearance = request.profile.limit("floor_clearance_min")
    if request.slots.has("six_inches") and not request.slots.has("can"):
        return Answer("how", {"clearance": f"{plain(clearance.value)} inches"}, (clearance.citation,))
    key = "rack" if request.slots.has("on_rack") and not request.slots.has("floor_word") else "floor"
    return Answer(key, {"clearance": f"{plain(clearance.value)} inches"}, (clearance.citation,))


@answers("storage_chemicals")
def chemicals(request: Request) -> Answer:
    """Say where chemicals stand."""
    near = not request.slots.has("where")
    judged = storage.chemical_place(above_food=near, beside_food=near)
    return Answer(
        "dripped" if request.slots.has("drip", "fell_in_word") else "place", sources=judged.citations
    )


@answers("storage_front")
def front(request: Request) -> Answer:
    """Say the order in a cold top or a drawer, the front first."""
    names = foods_named(request)
    source = storage.FRONT
    if len(names) > 1:
        return Answer(
            "order",
            {"order": _levels_text(storage.front_to_back(names.values()), names)},
            (*_SOURCES[:1], source),
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
        return Answer("fault_ready", values, _SOURCES)
    upper, lower = stored(request), stored(request, 1)
    assert upper is not None
    assert lower is not None
    names = (said(request), said(request, 1))
    if request.slots.has("below") and not request.slots.has("above"):
        upper, lower, names = lower, upper, (names[1], names[0])
    level = request.slots.has("beside") and not request.slots.has("above", "below")
    faults = find_faults([(upper, 1), (lower, 1 if level else 2)])
    if not faults:
        return Answer("apart" if level or kept_apart(upper, lower) else "fine", sources=_SOURCES)
    raw, other = names if faults[0].upper is upper else (names[1], names[0])
    if level:
        return Answer("beside", {"raw": raw, "other": other}, _SOURCES)
    if faults[0].ready_to_eat_below or not faults[0].lower.raw_animal:
        return Answer("fault_ready", {"raw": raw, "other": other}, _SOURCES)
    return Answer("fault_raw", {"lower": raw, "upper": other}, _SOURCES)


@answers("storage_drip")
def drip(request: Request) -> Answer:
    """Say what to do with food that raw juice reached."""
    names = {name: food for name, food in foods_named(request).items() if name not in ("juice", "juices")}
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


_ICE_CLEAN = Citation("FDA Food Code 2022", "4-602.11(E); 3-701.11", "fda_2022", "MEMORY")


_NOT_FOR_FOOD = {"staff_food": "staff", "storage_pipes": "pipes", "personal_things": "personal"}
"""Intents of what is no food of the guests' or no place for food, and their place in the rules."""


@answers(*_NOT_FOR_FOOD)
def not_for_food(request: Request) -> Answer:
    """Say where food and drink may not stand, and what may not stand with them."""
    return Answer("answer", sources=(storage.PLACES[_NOT_FOR_FOOD[request.intent]],))


@answers("damaged_goods")
def damaged(request: Request) -> Answer:
    """Say that damaged and returned goods are kept apart."""
    return Answer("answer", sources=(storage.damaged_goods(),))


@answers("ice_use")
def ice(request: Request) -> Answer:
    """Refuse ice for two uses, and ice out of a dirty machine."""
    if request.slots.has("sign_smell"):
        return Answer("dirty", sources=(_ICE_CLEAN,))
    return Answer("answer", sources=(storage.PLACES["ice"],))


@answers("storage_shelf")
def shelf(request: Request) -> Answer:
    """Say what belongs on the top or the bottom shelf."""
    key = "bottom" if request.slots.has("bottom") else "top" if request.slots.has("top") else "general"
    most = request.profile.limit("cook_poultry_min")
    return Answer(key, {"poultry": limit_text(most)}, _SOURCES)


@answers("storage_produce")
def produce(request: Request) -> Answer:
    """Say that washed and unwashed produce are kept apart."""
    return Answer("apart", sources=(storage.SEPARATION,))
