"""Answers about thawing: the ways that are allowed, the water, the sink, frozen food to be cooked."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue.answer import Answer, Request, Value, answers, degrees, limit_text, plain
from assistant.dialogue.answers.food_words import (
    assumed,
    capital,
    food_of,
    instant_text,
    said,
    step_text,
)
from assistant.dialogue.answers.storage import place_key
from assistant.rules import thawing
from assistant.rules.basis import Citation, Limit
from assistant.rules.cooking import cook_target
from assistant.rules.foods import Food
from assistant.rules.thawing import Method

_FISH = {"finfish", "fish_for_raw_service", "rte_seafood", "fish_comminuted", "crustacean"}
_FROZEN_DESSERTS = frozenset({"ice cream", "soft serve", "frozen yogurt", "gelato"})
_REFREEZE = Citation("USDA The Big Thaw", "refreezing", flag="MEMORY", note="home guide; no code figure")


def _limits(request: Request) -> tuple[Limit, Limit, Limit]:
    profile = request.profile
    return (
        profile.limit("cold_holding_max"),
        profile.limit("thaw_water_max"),
        profile.limit("thaw_water_minutes_max"),
    )


def thaw_values(request: Request) -> dict[str, Value]:
    """Return the figures that thawing replies use."""
    cold, water, minutes = _limits(request)
    return {
        "cold": degrees(cold.value, cold.unit),
        "water": limit_text(water),
        "hours": plain(minutes.value / 60),
    }


def thaw_answer(key: str, request: Request, **more: Value) -> Answer:
    """Return an answer with the thawing figures and their sources."""
    cold, water, minutes = _limits(request)
    sources = (thawing.THAWING, cold.citation, water.citation, minutes.citation)
    return Answer(key, {**thaw_values(request), **more}, sources, caution=assumed((water, minutes)))


@answers("thaw_how")
def how(request: Request) -> Answer:
    """Say the allowed ways to thaw a food."""
    food = food_of(request)
    if request.slots.has("vacuum_word") and (food is None or food.food_class in _FISH):
        return thaw_answer("vacuum_fish", request)
    ready = food is not None and food.ready_to_eat
    if ready or request.slots.has("ready_to_eat_word", "cooked_word"):
        return thaw_answer("how_ready", request)
    return thaw_answer("fast" if request.slots.has("fast_word") else "how", request)


_METHODS = (
    ("hand_sink_word", Method.HAND_SINK, "hand_sink"),
    ("hot_thaw", Method.COUNTER, "hot"),
    ("counter", Method.COUNTER, "counter"),
    ("open_rack", Method.COUNTER, "counter"),
    ("oven_spot", Method.COUNTER, "counter"),
    ("no_cold", Method.COUNTER, "counter"),
    ("warm_thaw_water", Method.COUNTER, "hot"),
    ("no_run", Method.STANDING_WATER, "standing"),
    ("standing_water", Method.STANDING_WATER, "standing"),
    ("running_water", Method.RUNNING_WATER, "running"),
)


@answers("thaw_method")
def method(request: Request) -> Answer:
    """Say whether a way of thawing is allowed."""
    food = food_of(request)
    if request.slots.has("changing_water"):
        return thaw_answer("changed", request)
    if request.slots.has("no_flow"):
        return thaw_answer("standing", request)
    for concept, way, key in _METHODS:
        if not request.slots.has(concept):
            continue
        judged = thawing.judge_method(way, food)
        if key == "running" and food is not None and food.ready_to_eat:
            key = "running_ready"
        if key == "counter" and food is not None and food.known and not food.tcs:
            return Answer("not_tcs", {"food": said(request)}, (food.citation,))
        if key == "counter" and _past(request):
            key = "counter_past"
        if key.startswith("running") and request.slots.has("overnight", "all_night_word"):
            key = "long"
        answer = thaw_answer(key, request)
        return Answer(answer.reply, answer.values, (*judged.citations, *answer.sources))
    if request.slots.has("place_word"):
        return thaw_answer("cooler", request)
    if request.slots.has("thaw_sink_word", "prep_sink_word"):
        overnight = "counter_past" if _past(request) else "standing"
        return thaw_answer(overnight if request.slots.has("overnight") else "running", request)
    if request.slots.has("overnight") and _past(request):
        return thaw_answer("counter_past", request)
    found = how(request)
    return replace(found, intent="thaw_how")


def _past(request: Request) -> bool:
    """True when the food was already left out, rather than asked about."""
    slots = request.slots
    was = {"was", "were", "been", "sat"} & set(slots.words)
    perhaps = {"got", "left", "sitting"} & set(slots.words)  # "can it be left out" only asks
    thawed = "thawed" in slots.words and slots.has("overnight", "unknown_time", "last_night")
    told = was or thawed or (perhaps and not slots.has("can"))
    return bool(told) or slots.has("do_now", "discard", "found_wrong")


@answers("thaw_microwave")
def microwave(request: Request) -> Answer:
    """Say what must follow the microwave."""
    later = request.slots.has("place_word", "later", "day_tomorrow", "back_word")
    judged = thawing.judge_method(Method.MICROWAVE, food_of(request), cooked_at_once=not later)
    return Answer("microwave" if judged.passed else "later", sources=judged.citations)


@answers("cook_from_frozen")
def from_frozen(request: Request) -> Answer:
    """Say that frozen food may be cooked without thawing, and how far."""
    judged = thawing.judge_method(Method.COOK_FROZEN)
    food = food_of(request)
    if food is None:
        return Answer("general", sources=judged.citations)
    target = cook_target(food, request.profile)
    sources = (*judged.citations, food.citation)
    if food.ready_to_eat or target is None:
        maker = "Follow the directions on its pack." if food.cook_group == "maker" else ""
        return Answer("yes_ready" if not maker else "yes_maker", {"note": _ready_note(request)}, sources)
    text = step_text(target.main) + instant_text(target)
    return Answer("yes", {"target": text}, sources, caution=assumed([target.main]))


def _ready_note(request: Request) -> str:
    hot = limit_text(request.profile.limit("reheat_commercial_min"))
    return f"Cooked and packed by the maker: {hot} if it will be held hot."


@answers("thaw_one_portion")
def one_portion(request: Request) -> Answer:
    """Say whether one portion for one order may thaw any way."""
    food = food_of(request)
    judged = thawing.judge_method(Method.ONE_PORTION, food)
    name = capital(said(request)) if request.slots.foods else "Raw food"
    return Answer("yes" if judged.passed else "no", {"food": name}, judged.citations)


@answers("refreeze")
def refreeze(request: Request) -> Answer:
    """Say when thawed food may be frozen again."""
    if request.slots.foods and request.slots.foods[0] in _FROZEN_DESSERTS:
        return Answer("ice_cream", sources=(_REFREEZE,))
    refused = request.slots.has("running_water", "microwave", "counter")
    cold = request.profile.limit("cold_holding_max")
    return Answer("no" if refused else "cooler", {"cold": limit_text(cold)}, (_REFREEZE, cold.citation))


@answers("thaw_sink")
def sink(request: Request) -> Answer:
    """Say what has to be done with the sink between foods."""
    slots = request.slots
    if slots.has("which", "what", "where") and not slots.has("same_word", "just_had", "clean_word"):
        return Answer("which", sources=(thawing.THAWING,))
    if slots.has("mop_sink_word"):
        return Answer("mop", sources=(thawing.THAWING,))
    first, second = food_of(request), food_of(request, 1)
    if first is None or second is None:
        return Answer("clean", sources=(thawing.THAWING,))
    last, following = (second, first) if slots.has("just_had") else (first, second)
    judged = thawing.sink_between(last, following)
    if judged.passed:
        return Answer("same_kind", sources=judged.citations)
    return Answer("clean" if slots.has("just_had") else "together", sources=judged.citations)


@answers("thaw_place")
def place(request: Request) -> Answer:
    """Say where thawing food stands."""
    food = food_of(request)
    values = thaw_values(request)
    if food is None:
        return Answer("raw", {**values, "place": _level(None)}, (thawing.THAWING,))
    if food.ready_to_eat:
        return Answer("ready", values, (thawing.THAWING, food.citation))
    key = "never_over" if request.slots.has("above") else "raw"
    return Answer(key, {**values, "place": _level(food)}, (thawing.THAWING, food.citation))


def _level(food: Food | None) -> str:
    words = {
        "tier_145": "above ground meat and poultry",
        "tier_155": "below whole cuts, above poultry",
        "produce": "above everything raw",
    }
    return words.get(place_key(food), "the bottom shelf") if food else "raw poultry on the bottom shelf"


@answers("slack")
def slack(request: Request) -> Answer:
    """Say how cold slacking food stays."""
    cold = request.profile.limit("cold_holding_max")
    return Answer("slack", {"cold": limit_text(cold)}, (thawing.SLACKING, cold.citation))
