"""Answers about the temperatures that places have to hold, and a place that is down."""

from __future__ import annotations

from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, Value, answers, degrees, plain
from assistant.dialogue.answers.food_words import capital, food_of, reading_of, said
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


@answers("holding_rule")
def rule(request: Request) -> Answer:
    """Say the limit of cold, hot or frozen holding."""
    profile, slots = request.profile, request.slots
    cold, hot = profile.limit("cold_holding_max"), profile.limit("hot_holding_min")
    roast, eggs = profile.limit("roast_hot_holding_min"), profile.limit("shell_egg_air_max")
    values = {"cold": _shown(cold), "hot": _shown(hot), "roast": _shown(roast), "eggs": _shown(eggs)}
    kinds = {request.site.kind_of(place) for place in slots.places}
    if "hot_holding" in kinds or (
        slots.has("hot_place", "hot_word") and not slots.has("cold_place", "cold_word")
    ):
        return Answer("hot", values, (hot.citation, roast.citation))
    if "egg_cooler" in kinds:
        return Answer("eggs", values, (eggs.citation, cold.citation))
    if "freezer" in kinds or slots.has("freezer_place"):
        frozen = profile.limit("frozen_solid_max")
        return Answer("freezer", values, (frozen.citation,))
    return Answer("cold", values, (cold.citation,))


@answers("holding_check")
def held(request: Request) -> Answer | None:
    """Judge a held food's temperature; what is reported is logged, what is asked is not."""
    food, reading = food_of(request, cooked=True), reading_of(request) or _like_a_time(request)
    if food is None or reading is None:
        return None
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


@answers("check_often")
def often(request: Request) -> Answer | None:
    """Say how often held food is probed; a sanitizer or a sink is another question."""
    kinds = {request.site.kind_of(place) for place in request.slots.places}
    if kinds - {"hot_holding", "cold_holding", "egg_cooler", "freezer"}:
        return None
    hot, cold = request.profile.limit("hot_holding_min"), request.profile.limit("cold_holding_max")
    return Answer("answer", {"hot": _shown(hot), "cold": _shown(cold)}, (OFTEN, hot.citation, cold.citation))


@answers("hot_rescue")
def rescue(request: Request) -> Answer:
    """Say when hot food that dropped may be reheated."""
    profile = request.profile
    hot, hours = profile.limit("hot_holding_min"), profile.limit("hot_rescue_hours_max")
    reheat = profile.limit("reheat_house_min")
    values = {"hours": plain(hours.value), "reheat": _shown(reheat), "hot": _shown(hot)}
    return Answer("under", values, (hot.citation, hours.citation, reheat.citation))


@answers("power_out")
def down(request: Request) -> Answer | None:
    """Say what to do when a cooler, hot holding or the power fails."""
    if request.slots.has("other_day", "taken_apart"):
        return None  # "the walk-in died four years ago", "we broke down the line"
    kinds = {request.site.kind_of(place) for place in request.slots.places}
    if "hot_holding" in kinds and not request.slots.has("cold_place", "freezer_place"):
        hot, reheat = request.profile.limit("hot_holding_min"), request.profile.limit("reheat_house_min")
        return Answer("hot", {"hot": _shown(hot), "reheat": _shown(reheat)}, (hot.citation, reheat.citation))
    key = "cooking" if request.slots.has("cook") and request.slots.foods else "down"
    return Answer(key, sources=(request.profile.limit("cold_holding_max").citation,))


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
