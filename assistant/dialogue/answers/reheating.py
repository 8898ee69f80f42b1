"""Answers about reheating: how hot, how fast, with what, and what heat does not mend."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, Value, answers, capital, degrees
from assistant.dialogue.answers.advice import always, asked_as, shown, told
from assistant.dialogue.answers.cook_done import LONGEST_HOLD_TOLD, done
from assistant.dialogue.answers.cooking import main_text
from assistant.dialogue.answers.food_words import food_of, reading_of, said
from assistant.dialogue.moments import hours_of
from assistant.dialogue.record import food_entry
from assistant.dialogue.slots import WEEKDAYS
from assistant.dialogue.statements import measured
from assistant.logbook.entry import Draft
from assistant.rules import reheating
from assistant.rules.basis import Citation, Judgement, Temperature, Verdict
from assistant.rules.reheating import Reheat

TOXINS = Citation(
    "derived safe answer", "time out of temperature", flag="MEMORY", note="toxins stay after heat"
)
ONCE = Citation("common practice, no source", "reheat once", flag="PRACTICE")
LONGEST_HOLD = LONGEST_HOLD_TOLD / 60
"""Minutes: raw food held no longer at its temperature is cooked, not reheated (judgement)."""
FIGURES = {"hold": "reheat_house_hold", "hours": "reheat_minutes_max"}


def _answer(
    key: str, request: Request, *sources: Citation, verdict: Verdict | None = None, **values: Value
) -> Answer:
    return told(request, key, *sources, limits=FIGURES, verdict=verdict, values=values)


@answers("reheat_temp")
def reheat_temp(request: Request) -> Answer:
    """Say how hot a food is reheated, and how fast."""
    food = food_of(request, cooked=True)
    if request.slots.has("place_microwave"):
        return _answer("microwave", request)
    house = "house" if request.profile.value("reheat_house_hold") else "house_at_once"
    if food is None:
        return _answer("commercial" if _packaged(request) else house, request)
    if request.slots.has("as_raw"):
        return _answer("raw", request, food.citation, cook=main_text(food, request))
    if (
        food.food_class == "whole_roast"
        and not request.slots.has("as_cut", "as_packaged")
        and food.species in ("beef", "pork", "lamb")
    ):
        return _answer("roast", request)
    commercial = reheating.reheat_kind(food) is Reheat.COMMERCIAL
    return _answer("commercial" if commercial or _packaged(request) else house, request)


def _packaged(request: Request) -> bool:
    """True for a maker's food that was not cooked here before: the reply names both figures."""
    past = ("day_yesterday", "day_before_yesterday", "day_last_week", "other_day", *WEEKDAYS)
    return request.slots.has("as_packaged") and not request.slots.has(*past, "as_cooked", "as_homemade")


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
    if food is not None and food.raw_animal and minutes is not None and minutes <= LONGEST_HOLD:
        return asked_as(done, request, "cook_done")
    kind = Reheat.MICROWAVE if slots.has("place_microwave") else Reheat.HOUSE
    if kind is Reheat.HOUSE and _packaged(request):
        kind = Reheat.COMMERCIAL
    if reading is None:
        return _answer("late", request, verdict=Verdict.FAIL)
    judged = reheating.judge_reheat(
        kind, reading, profile, held_s=Decimal(3600), minutes=minutes or Decimal(0), stand_s=Decimal(3600)
    )
    drafts = _told(request, reading, judged)
    limits = judged.limits
    assert limits is not None
    assert limits.low is not None
    good = "pass_commercial" if kind is Reheat.COMMERCIAL else "pass"
    key = "late" if late else good if judged.passed else "low"
    verdict = Verdict.FAIL if late else judged.verdict if judged.passed else None
    if kind is Reheat.MICROWAVE and key == "pass" and not drafts:
        key = "pass_microwave"
    values = {"reading": shown(reading), "limit": degrees(limits.low, limits.unit)}
    values["food"] = capital(said(request)) if drafts else ""
    sources = (*judged.citations, *((food.citation,) if food else ()))
    answer = _answer(f"told_{key}" if drafts else key, request, *sources, verdict=verdict, **values)
    return replace(answer, drafts=drafts)


def _told(request: Request, reading: Temperature, judged: Judgement) -> tuple[Draft, ...]:
    """Return the entry of a reheat that was reported, none where it was only asked about.

    Food that is not hot enough yet has not failed: it goes on heating. Too slow a reheat has.
    """
    slots = request.slots
    number = slots.measure("temperature", "number")
    if not slots.foods or slots.heard is None or number is None:
        return ()
    if not measured(slots.heard, number, slots.meaning):
        return ()
    food = slots.foods[0]
    late = judged.reason == "too_long"
    verdict = judged.verdict if judged.passed or late else Verdict.CANNOT_JUDGE
    entry = food_entry(request, reading, judged, "reheating", verdict)
    if not late:
        return (entry,)
    opened = Draft(kind="action_opened", subject=food, measured="reheating", refers_to=-1, note="discard")
    return (entry, opened)


always("reheat_again", ONCE, TOXINS)
