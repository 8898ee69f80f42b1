"""Answers about reheating: how hot, how fast, with what, and what heat does not mend."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, Value, answers, degrees, plain
from assistant.dialogue.answers.advice import always
from assistant.dialogue.answers.cooking import figures, main_text
from assistant.dialogue.answers.food_words import assumed, capital, food_of, hold_text, reading_of, said
from assistant.dialogue.moments import hours_of
from assistant.dialogue.record import food_entry
from assistant.dialogue.statements import measured
from assistant.logbook.entry import Draft
from assistant.rules import reheating
from assistant.rules.basis import Citation, Judgement, Temperature, Verdict
from assistant.rules.reheating import Reheat

TOXINS = Citation(
    "derived safe answer", "time out of temperature", flag="MEMORY", note="toxins stay after heat"
)
ONCE = Citation("common practice, no source", "reheat once", flag="PRACTICE")
_LIMITS = ("reheat_house_min", "reheat_house_hold", "reheat_commercial_min", "reheat_minutes_max")


def _values(request: Request) -> dict[str, Value]:
    profile = request.profile
    hold, minutes = profile.limit("reheat_house_hold"), profile.limit("reheat_minutes_max")
    return {**figures(request), "hold": hold_text(hold.value), "hours": plain(minutes.value / 60)}


def _answer(key: str, request: Request, *more: Citation, **values: Value) -> Answer:
    limits = [request.profile.limit(name) for name in _LIMITS]
    sources = (*more, *(limit.citation for limit in limits))
    return Answer(key, {**_values(request), **values}, sources, caution=assumed(limits))


@answers("reheat_temp")
def reheat_temp(request: Request) -> Answer:
    """Say how hot a food is reheated, and how fast."""
    food = food_of(request, cooked=True)
    if request.slots.has("place_microwave"):
        return _answer("microwave", request)
    house = "house" if request.profile.value("reheat_house_hold") else "house_at_once"
    if food is None:
        return _answer(house, request)
    if request.slots.has("as_raw"):
        return _answer("raw", request, food.citation, cook=main_text(food, request))
    if food.food_class == "whole_roast" and food.species in ("beef", "pork", "lamb"):
        return _answer("roast", request)
    commercial = reheating.reheat_kind(food) is Reheat.COMMERCIAL
    return _answer("commercial" if commercial or _packaged(request) else house, request)


def _packaged(request: Request) -> bool:
    """True for a maker's food that was not cooked here before: the reply names both figures."""
    return request.slots.has("as_packaged") and not request.slots.has("as_cooked", "as_homemade")


@answers("reheat_where")
def reheat_where(request: Request) -> Answer:
    """Say that holding equipment does not reheat."""
    return _answer("no", request, *reheating.judge_holding_equipment().citations)


@answers("reheat_check")
def reheat_check(request: Request) -> Answer:
    """Judge a reheating reading and its time."""
    slots, profile = request.slots, request.profile
    food, reading = food_of(request, cooked=True), reading_of(request)
    spent = slots.measure("duration")
    minutes = hours_of(spent) * 60 if spent else None
    late = minutes is not None and minutes > profile.value("reheat_minutes_max")
    if reading is None and not late:
        return _answer("ask_temp", request)
    kind = Reheat.MICROWAVE if slots.has("place_microwave") else Reheat.HOUSE
    if kind is Reheat.HOUSE and _packaged(request):
        kind = Reheat.COMMERCIAL
    if reading is None:
        return replace(_answer("late", request), verdict=Verdict.FAIL)
    judged = reheating.judge_reheat(
        kind, reading, profile, held_s=Decimal(3600), minutes=minutes or Decimal(0), stand_s=Decimal(3600)
    )
    drafts = _told(request, reading, judged)
    food_said = capital(said(request)) if drafts else ""
    shown = degrees(reading.value, reading.unit)
    if late:
        late_key = "told_late" if drafts else "late"
        answer = _answer(late_key, request, reading=shown, food=food_said)
        return replace(answer, verdict=Verdict.FAIL, drafts=drafts)
    assert judged.limits is not None
    assert judged.limits.low is not None
    limit = degrees(judged.limits.low, judged.limits.unit)
    key = "low" if not judged.passed else "pass_commercial" if kind is Reheat.COMMERCIAL else "pass"
    if kind is Reheat.MICROWAVE and key == "pass" and not drafts:
        key = "pass_microwave"
    key = f"told_{key}" if drafts else key
    answer = _answer(key, request, limit=limit, reading=shown, food=food_said)
    sources = (*judged.citations, *((food.citation,) if food else ()))
    verdict = judged.verdict if judged.passed else None
    return replace(answer, sources=sources, verdict=verdict, drafts=drafts)


def _told(request: Request, reading: Temperature, judged: Judgement) -> tuple[Draft, ...]:
    """Return the entry of a reheat that was reported, none where it was only asked about.

    Food that is not hot enough yet has not failed: it goes on heating. Too slow a reheat has.
    """
    slots = request.slots
    number = slots.measure("temperature", "number")
    if not slots.foods or slots.heard is None or number is None or not measured(slots.heard, number):
        return ()
    food = slots.foods[0]
    late = judged.reason == "too_long"
    verdict = judged.verdict if judged.passed or late else Verdict.CANNOT_JUDGE
    entry = food_entry(request, reading, judged, "reheating", verdict)
    if not late:
        return (entry,)
    opened = Draft(kind="action_opened", subject=food, measured="reheating", refers_to=-1, note="discard")
    return (entry, opened)


always("reheat_again", ONCE, TOXINS, house="reheat_house_min")
