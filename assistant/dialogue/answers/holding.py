"""Answers about the temperatures that places have to hold, and a place that is down."""

from __future__ import annotations

from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, answers, capital
from assistant.dialogue.answers.advice import always, asked_as, shown, told
from assistant.dialogue.answers.food_words import food_of, reading_of, said
from assistant.dialogue.answers.places import kinds_said
from assistant.dialogue.record import food_entry
from assistant.dialogue.statements import measured
from assistant.logbook.entry import Draft
from assistant.rules import holding
from assistant.rules.basis import Citation, Judgement, Temperature, Verdict

OUTAGE = Citation(
    "FoodSafety.gov power outage chart", "freezer", flag="MEMORY", note="48 hours full, 24 half"
)
COLDEST_HOT = 90
"""Fahrenheit; held food warmer than this is meant to be hot: judgement."""
LIKE_A_TIME = Decimal(60)
"""A greater number is no hour of the day."""
OFTEN = Citation("common practice, no source", "checks of held food", flag="PRACTICE")


FIGURES = {"roast": "roast_hot_holding_min", "eggs": "shell_egg_air_max", "general": "hot_holding_min"}


@answers("holding_rule")
def rule(request: Request) -> Answer:
    """Say the limit of cold, hot or frozen holding: of the place said, or of all."""
    kinds = kinds_said(request)
    if "egg_cooler" in {request.site.kind_of(place) for place in request.slots.places}:
        return told(request, "eggs", limits=FIGURES)
    if "freezer" in kinds:
        return told(request, "freezer", request.profile.limit("frozen_solid_max").citation)
    hot, cold = "hot" in kinds or request.slots.has("as_hot"), "cold" in kinds
    return told(request, ("hot" if hot else "cold") if hot != cold else "both", limits=FIGURES)


@answers("holding_check")
def held(request: Request) -> Answer:
    """Judge a held food's temperature; what is reported is logged, what is asked is not."""
    food, reading = food_of(request, cooked=True), reading_of(request) or _like_a_time(request)
    if food is None or reading is None:
        return told(request, "limits", limits=FIGURES)
    hot, roast = reading.in_unit("F") > COLDEST_HOT, food.food_class == "whole_roast"
    if hot:
        judged = holding.judge_hot_holding(reading, request.profile, "roast" if roast else "general")
    else:
        judged = holding.judge_cold_holding(reading, request.profile)
    key = ("hot" if judged.passed else "low") if hot else "cold" if judged.passed else "warm"
    return told(
        request,
        key,
        *judged.citations,
        limits={**FIGURES, "hot": "roast_hot_holding_min" if roast else "hot_holding_min"},
        verdict=judged.verdict,
        drafts=_held_drafts(request, reading, judged),
        food=capital(said(request)),
        reading=shown(reading),
    )


def _like_a_time(request: Request) -> Temperature | None:
    """Return the number that was taken for a time of day, beside another time ("since eleven at 120")."""
    heard = request.slots.heard
    said = [m.value for m in heard.measures if m.kind == "number"] if heard is not None else []
    least = LIKE_A_TIME if request.site.kitchen.units == "F" else LIKE_A_TIME / 2
    found = next((value for value in said if value >= least), None)
    return Temperature(found, request.site.kitchen.units) if found is not None else None


def _held_drafts(request: Request, reading: Temperature, judged: Judgement) -> tuple[Draft, ...]:
    slots = request.slots
    number = slots.measure("temperature", "number")
    if slots.heard is None or number is None or not measured(slots.heard, number, slots.meaning):
        return ()
    entry = food_entry(request, reading, judged, "food", judged.verdict)
    if judged.passed:
        return (entry,)
    note = judged.action.replace("_", " ")
    return (
        entry,
        Draft(kind="action_opened", subject=said(request), measured="food", refers_to=-1, note=note),
    )


always("check_often", OFTEN)
always("hot_rescue", reply="under", hours="hot_rescue_hours_max")


@answers("power_out")
def down(request: Request) -> Answer:
    """Say what to do when a cooler, hot holding or the power fails."""
    kinds = kinds_said(request)
    cold = kinds & {"cold", "freezer"}
    heard = request.slots.heard
    if kinds == {"freezer"} and not (heard is not None and heard.names.get("food")):
        return told(request, "freezer", OUTAGE)
    if "hot" in kinds and not cold:
        return told(request, "hot")
    return told(request, "down" if cold else "all", request.profile.limit("cold_holding_max").citation)


@answers("frozen_check")
def frozen(request: Request) -> Answer:
    """Take the answer to "is the food still frozen solid": kept in the log, soft food opens an action."""
    place, heard = request.slots.places[0], request.slots.heard
    felt = request.slots.has("yes", "solid_word", "soft_word")
    if heard is not None and request.slots.asked and not (heard.asks or felt):
        return asked_as(down, request, "power_out")
    if heard is not None and heard.asks and not request.slots.has("yes"):
        return told(request, "asked", ask="yes_no|solid_word|soft_word")
    if request.slots.has("yes", "solid_word") and not request.slots.has("soft_word"):
        draft = Draft(kind="event", subject=place, measured="air", note="food frozen solid, by touch")
        return told(request, "solid", drafts=(draft,))
    note = "food not frozen: probe it, move it"
    action = Draft(kind="action_opened", subject=place, measured="air", note=note)
    return told(request, "soft", verdict=Verdict.FAIL, drafts=(action,))
