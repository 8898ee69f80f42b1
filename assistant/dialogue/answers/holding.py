"""Answers about the temperatures that places have to hold, and a place that is down."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers, degrees, plain
from assistant.logbook.entry import Draft
from assistant.rules.basis import Limit, Verdict


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
    """Say what to do when a cooler or the power fails."""
    return Answer("down", sources=(request.profile.limit("cold_holding_max").citation,))


@answers("frozen_check")
def frozen(request: Request) -> Answer:
    """Take the answer to "is the food still frozen solid": kept in the log, soft food opens an action."""
    place = request.slots.places[0]
    cold = request.profile.limit("cold_holding_max")
    values = {"cold": degrees(cold.value, cold.unit)}
    if request.slots.has("yes"):
        draft = Draft(kind="event", subject=place, measured="air", note="food frozen solid, by touch")
        return Answer("solid", values, (cold.citation,), drafts=(draft,))
    action = Draft(
        kind="action_opened", subject=place, measured="air", note="food not frozen: probe it, move it"
    )
    return Answer("soft", values, (cold.citation,), Verdict.FAIL, (action,))
