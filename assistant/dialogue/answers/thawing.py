"""Answers about thawing: the ways that are allowed, the water, the sink, frozen food to be cooked."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, Value, answers, capital
from assistant.dialogue.answers.advice import always, told
from assistant.dialogue.answers.food_words import (
    assumed,
    controlled_once,
    food_of,
    instant_text,
    said,
    step_text,
)
from assistant.dialogue.answers.places import kinds_said
from assistant.dialogue.answers.storage import place_key
from assistant.rules import thawing
from assistant.rules.basis import Citation, Verdict
from assistant.rules.cooking import cook_target
from assistant.rules.foods import Food
from assistant.rules.thawing import Method

_FISH = {"finfish", "fish_for_raw_service", "rte_seafood", "fish_comminuted", "crustacean"}
_REFREEZE = Citation("USDA The Big Thaw", "refreezing", flag="MEMORY", note="home guide; no code figure")


FIGURES = {"water": "thaw_water_max", "hours": "thaw_water_minutes_max"}


def thaw_answer(
    request: Request, reply: str, *sources: Citation, verdict: Verdict | None = None, **values: Value
) -> Answer:
    """Return an answer with the thawing figures and their sources."""
    return told(request, reply, *sources, thawing.THAWING, limits=FIGURES, verdict=verdict, values=values)


@answers("thaw_how")
def how(request: Request) -> Answer:
    """Say the allowed ways to thaw a food."""
    food = food_of(request, cooked=True)
    if (food is not None and food.ready_to_eat) or request.slots.has("as_cooked"):
        return thaw_answer(request, "how_ready")
    return thaw_answer(request, "how_fish" if food is not None and food.food_class in _FISH else "how")


_REFUSED = (("hand_sink", Method.HAND_SINK), ("heat", Method.COUNTER), ("room", Method.COUNTER))
"""Places in which nothing is thawed, the worst first."""


@answers("thaw_method")
def method(request: Request) -> Answer:
    """Say whether food is thawed where it was said to be; the ways that are allowed, where no place was."""
    food, kinds = food_of(request), kinds_said(request)
    if _keeps(food) and food is not None:
        return Answer("not_tcs", {"food": said(request)}, (food.citation,), Verdict.PASS)
    for place, way in _REFUSED:
        if place in kinds:
            return thaw_answer(request, place, *thawing.judge_method(way, food).citations)
    if "water" in kinds:
        return thaw_answer(request, "water_ready" if food is not None and food.ready_to_eat else "water")
    return thaw_answer(request, "cold" if kinds == {"cold"} else "ways")


def _keeps(food: Food | None) -> bool:
    """True for what needs no control once thawed, as bread; frozen vegetables were blanched and do."""
    return food is not None and controlled_once(food) == "" and food.species != "plant"


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
        return told(request, "yes_maker" if food.cook_group == "maker" else "yes_ready", *sources)
    text = step_text(target.main) + instant_text(target)
    return Answer("yes", {"target": text}, sources, caution=assumed([target.main]))


always("thaw_one_portion", *thawing.judge_method(Method.ONE_PORTION).citations)


@answers("refreeze")
def refreeze(request: Request) -> Answer:
    """Say when thawed food may be frozen again."""
    food = food_of(request)
    ice_cream = food is not None and food.food_class == "frozen_dessert"
    if _keeps(food) and food is not None:
        return told(request, "no_limit", _REFREEZE, food.citation, food=capital(request.slots.foods[0]))
    return told(request, "ice_cream" if ice_cream else "cooler", _REFREEZE)


@answers("thaw_place")
def place(request: Request) -> Answer:
    """Say where thawing food stands."""
    food = food_of(request)
    sources = (food.citation,) if food is not None else ()
    if food is not None and food.ready_to_eat:
        return thaw_answer(request, "ready", *sources)
    return thaw_answer(request, "raw", *sources, place=_level(food))


def _level(food: Food | None) -> str:
    words = {
        "tier_145": "above ground meat and poultry",
        "tier_155": "below whole cuts, above poultry",
        "produce": "above everything raw",
    }
    return words.get(place_key(food), "the bottom shelf") if food else "raw poultry on the bottom shelf"


always("slack", thawing.SLACKING, reply="slack")
