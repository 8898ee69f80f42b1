"""Answers about the temperatures that places have to hold, and a place that is down."""

from __future__ import annotations

from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, Value, answers, degrees, plain
from assistant.dialogue.answers.advice import always
from assistant.dialogue.answers.food_words import capital, food_of, reading_of, said
from assistant.dialogue.answers.places import kinds_said
from assistant.dialogue.record import food_entry
from assistant.dialogue.statements import measured
from assistant.logbook.entry import Draft
from assistant.rules import holding
from assistant.rules.basis import Citation, Judgement, Limit, Temperature, Verdict

COLDEST_HOT = 90
"""Fahrenheit; held food warmer than this is meant to be hot: judgement."""
LIKE_A_TIME = Decimal(60)
"""A greater number is no hour of the day."""
OFTEN = Citation("common practice, no source", "checks of held food", flag="PRACTICE")


def _shown(limit: Limit) -> str:
    return degrees(limit.value, limit.unit)


def _limits(request: Request) -> dict[str, Value]:
    keys = {
        "cold": "cold_holding_max",
        "hot": "hot_holding_min",
        "roast": "roast_hot_holding_min",
        "eggs": "shell_egg_air_max",
    }
    return {name: _shown(request.profile.limit(key)) for name, key in keys.items()}


@answers("holding_rule")
def rule(request: Request) -> Answer:
    """Say the limit of cold, hot or frozen holding: of the place said, or of all."""
    profile, kinds = request.profile, kinds_said(request)
    cold, hot = profile.limit("cold_holding_max"), profile.limit("hot_holding_min")
    values, sources = _limits(request), (cold.citation, hot.citation)
    if "egg_cooler" in {request.site.kind_of(place) for place in request.slots.places}:
        return Answer("eggs", values, (profile.limit("shell_egg_air_max").citation, *sources))
    if "freezer" in kinds:
        return Answer("freezer", values, (profile.limit("frozen_solid_max").citation,))
    hot_side, cold_side = "hot" in kinds or request.slots.has("as_hot"), "cold" in kinds
    if hot_side != cold_side:
        return Answer("hot" if hot_side else "cold", values, sources)
    return Answer("both", values, sources)


@answers("holding_check")
def held(request: Request) -> Answer:
    """Judge a held food's temperature; what is reported is logged, what is asked is not."""
    food, reading = food_of(request, cooked=True), reading_of(request) or _like_a_time(request)
    if food is None or reading is None:
        return Answer("limits", _limits(request), (request.profile.limit("hot_holding_min").citation,))
    profile = request.profile
    hot_side = reading.in_unit("F") > COLDEST_HOT
    roast = food.food_class == "whole_roast"
    if hot_side:
        judged = holding.judge_hot_holding(reading, profile, "roast" if roast else "general")
    else:
        judged = holding.judge_cold_holding(reading, profile)
    general, cold = profile.limit("hot_holding_min"), profile.limit("cold_holding_max")
    least = profile.limit("roast_hot_holding_min")
    values: dict[str, Value] = {
        "food": capital(said(request)),
        "reading": degrees(reading.value, reading.unit),
        "hot": _shown(least if roast else general),
        "general": _shown(general),
        "roast": _shown(least),
        "cold": _shown(cold),
        "reheat": _shown(profile.limit("reheat_house_min")),
    }
    key = ("hot" if judged.passed else "low") if hot_side else "cold" if judged.passed else "warm"
    return Answer(key, values, judged.citations, judged.verdict, _held_drafts(request, reading, judged))


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
    if slots.heard is None or number is None or not measured(slots.heard, number):
        return ()
    entry = food_entry(request, reading, judged, "food", judged.verdict)
    if judged.passed:
        return (entry,)
    note = judged.action.replace("_", " ")
    return (
        entry,
        Draft(kind="action_opened", subject=said(request), measured="food", refers_to=-1, note=note),
    )


always("check_often", OFTEN, hot="hot_holding_min", cold="cold_holding_max")


@answers("hot_rescue")
def rescue(request: Request) -> Answer:
    """Say when hot food that dropped may be reheated."""
    profile = request.profile
    hot, hours = profile.limit("hot_holding_min"), profile.limit("hot_rescue_hours_max")
    reheat = profile.limit("reheat_house_min")
    values = {"hours": plain(hours.value), "reheat": _shown(reheat), "hot": _shown(hot)}
    return Answer("under", values, (hot.citation, hours.citation, reheat.citation))


@answers("power_out")
def down(request: Request) -> Answer:
    """Say what to do when a cooler, hot holding or the power fails."""
    kinds, profile = kinds_said(request), request.profile
    hot, reheat = profile.limit("hot_holding_min"), profile.limit("reheat_house_min")
    values: dict[str, Value] = {"hot": _shown(hot), "reheat": _shown(reheat)}
    if "hot" in kinds and not kinds & {"cold", "freezer"}:
        return Answer("hot", values, (hot.citation, reheat.citation))
    cold = profile.limit("cold_holding_max")
    return Answer("down" if kinds & {"cold", "freezer"} else "all", values, (cold.citation,))


@answers("frozen_check")
def frozen(request: Request) -> Answer:
    """Take the answer to "is the food still frozen solid": kept in the log, soft food opens an action."""
    place = request.slots.places[0]
    cold = request.profile.limit("cold_holding_max")
    values = {"cold": degrees(cold.value, cold.unit)}
    if request.slots.has("yes", "solid_word") and not request.slots.has("soft_word"):
        draft = Draft(kind="event", subject=place, measured="air", note="food frozen solid, by touch")
        return Answer("solid", values, (cold.citation,), drafts=(draft,))
    action = Draft(
        kind="action_opened", subject=place, measured="air", note="food not frozen: probe it, move it"
    )
    return Answer("soft", values, (cold.citation,), Verdict.FAIL, (action,))
