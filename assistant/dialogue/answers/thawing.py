"""Answers about thawing: the ways that are allowed, the water, the sink, frozen food to be cooked."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, Value, answers, degrees, limit_text, plain
from assistant.dialogue.answers.advice import always
from assistant.dialogue.answers.food_words import (
    assumed,
    food_of,
    instant_text,
    said,
    step_text,
)
from assistant.dialogue.answers.places import kinds_said
from assistant.dialogue.answers.storage import place_key
from assistant.rules import thawing
from assistant.rules.basis import Citation, Limit
from assistant.rules.cooking import cook_target
from assistant.rules.foods import Food
from assistant.rules.thawing import Method

_FISH = {"finfish", "fish_for_raw_service", "rte_seafood", "fish_comminuted", "crustacean"}
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
    food = food_of(request, cooked=True)
    if (food is not None and food.ready_to_eat) or request.slots.has("as_cooked"):
        return thaw_answer("how_ready", request)
    return thaw_answer("how_fish" if food is not None and food.food_class in _FISH else "how", request)


_REFUSED = (("hand_sink", Method.HAND_SINK), ("heat", Method.COUNTER), ("room", Method.COUNTER))
"""Places in which nothing is thawed, the worst first."""


@answers("thaw_method")
def method(request: Request) -> Answer:
    """Say whether food is thawed where it was said to be; the ways that are allowed, where no place was."""
    food, kinds = food_of(request), kinds_said(request)
    if food is not None and food.known and not food.tcs and not food.raw_animal:
        return Answer("not_tcs", {"food": said(request)}, (food.citation,))
    for place, way in _REFUSED:
        if place in kinds:
            judged = thawing.judge_method(way, food)
            answer = thaw_answer(place, request)
            return Answer(answer.reply, answer.values, (*judged.citations, *answer.sources))
    if "water" in kinds:
        return thaw_answer("water_ready" if food is not None and food.ready_to_eat else "water", request)
    return thaw_answer("cold" if kinds == {"cold"} else "ways", request)


always("thaw_microwave", *thawing.judge_method(Method.MICROWAVE, cooked_at_once=True).citations)
always("thaw_sink", thawing.THAWING)


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


always("thaw_one_portion", *thawing.judge_method(Method.ONE_PORTION).citations)


@answers("refreeze")
def refreeze(request: Request) -> Answer:
    """Say when thawed food may be frozen again."""
    food, cold = food_of(request), request.profile.limit("cold_holding_max")
    if food is not None and food.food_class == "frozen_dessert":
        return Answer("ice_cream", sources=(_REFREEZE,))
    return Answer("cooler", {"cold": limit_text(cold)}, (_REFREEZE, cold.citation))


@answers("thaw_place")
def place(request: Request) -> Answer:
    """Say where thawing food stands."""
    food = food_of(request)
    values = thaw_values(request)
    if food is None:
        return Answer("raw", {**values, "place": _level(None)}, (thawing.THAWING,))
    if food.ready_to_eat:
        return Answer("ready", values, (thawing.THAWING, food.citation))
    return Answer("raw", {**values, "place": _level(food)}, (thawing.THAWING, food.citation))


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
