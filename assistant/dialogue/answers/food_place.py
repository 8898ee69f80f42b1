"""The answer to "is it cooking, hot holding or cold?", asked after a food's temperature without a place."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue.answer import Answer, Request, answers, capital, limit_text, plain, range_text
from assistant.dialogue.answers.advice import asked_as, shown, told
from assistant.dialogue.answers.cook_done import done
from assistant.dialogue.answers.cooling import check
from assistant.dialogue.answers.places import kinds_said
from assistant.dialogue.answers.time_control import sat_out
from assistant.dialogue.cooling_batch import CHECK
from assistant.dialogue.judged_later import in_its_stead
from assistant.dialogue.record import limits_of, rule_text
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.rules.basis import Judgement, Temperature
from assistant.rules.compare import colder_than
from assistant.rules.cooling import CoolingLimits
from assistant.rules.food_names import find_food
from assistant.rules.holding import HotKind, judge_cold_holding, judge_hot_holding


@answers("food_place")
def food_place(request: Request) -> Answer | None:
    """Judge the reading logged last by what was said of the food; its entry gets the verdict."""
    slots = request.slots
    temperature = slots.temperature(request.site.kitchen.units)
    if temperature is None or not slots.foods:
        return None
    kinds = kinds_said(request)
    if slots.has("cool", "cooling_is"):
        return _cooling(request, temperature)
    if slots.has("unknown_time") or slots.measure("duration") or slots.clocks:
        return asked_as(sat_out, request, "time_out")
    if "hot" in kinds or slots.has("as_hot", "hot_holding"):
        food = find_food(slots.foods[0])
        held: HotKind = "roast" if food is not None and food.food_class == "whole_roast" else "general"
        return _answer(request, temperature, judge_hot_holding(temperature, request.profile, held), "hot")
    if kinds & {"cold", "freezer"} or slots.has("as_cold"):
        return _answer(request, temperature, judge_cold_holding(temperature, request.profile), "cold")
    return asked_as(done, request, "cook_done") if slots.has("cook") else None


def _cooling(request: Request, temperature: Temperature) -> Answer:
    """Judge it as cooling, by the hours since it was hot, which are asked for."""
    start = CoolingLimits.of(request.profile).start
    if not colder_than(temperature, start):
        values = {"food": capital(request.slots.foods[0]), "start": limit_text(start)}
        return Answer("ask_series", values, intent=CHECK)
    answer = asked_as(check, request, CHECK)
    drafts = tuple(in_its_stead(request, draft) for draft in answer.drafts)
    return replace(answer, drafts=drafts)


def _answer(request: Request, temperature: Temperature, judged: Judgement, where: str) -> Answer:
    reply = "pass" if judged.passed else where
    return told(
        request,
        reply,
        *judged.citations,
        verdict=judged.verdict,
        drafts=_drafts(request, temperature, judged, where),
        ask="duration|clock|unknown_time" if reply == "cold" else "",
        values={"limits": range_text(judged.limits)},
        food=capital(request.slots.foods[0]),
        value=shown(temperature),
    )


def _logged(request: Request) -> int | None:
    """Return the entry of the reading that the question was about."""
    wanted = Filter(kinds=("reading",), subject=request.slots.foods[0], standing_only=True)
    line = request.views.latest(wanted)
    return line.entry.id if line is not None else None


def _drafts(request: Request, t: Temperature, judged: Judgement, where: str) -> tuple[Draft, ...]:
    """Return the verdict for the entry that had none, and what has to be done if it fails."""
    food = request.slots.foods[0]
    number = _logged(request)
    if number is None:
        return ()
    verdict = Draft(
        kind="correction",
        subject=food,
        item=food,
        measured="food",
        value=plain(t.value),
        unit=t.unit,
        refers_to=number,
        verdict=judged.verdict.value,
        limits=limits_of(judged.limits),
        rule=rule_text(judged.citations),
        profile=request.site.kitchen.profile,
        note=f"{where} holding, as said afterwards",
    )
    if judged.passed:
        return (verdict,)
    note = (judged.action or "discard or bring back").replace("_", " ")
    action = Draft(kind="action_opened", subject=food, measured="food", refers_to=number, note=note)
    return (verdict, action)
