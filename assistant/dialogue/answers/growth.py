"""Answers about which foods need time and temperature control."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, Value, answers, limit_text
from assistant.dialogue.answers.advice import always
from assistant.dialogue.answers.food_words import food_of, made_here, said
from assistant.rules.tcs import tcs_by_kind


@answers("tcs")
def tcs(request: Request) -> Answer:
    """Say whether a food needs time and temperature control; not known counts as yes."""
    cold, hot = request.profile.limit("cold_holding_max"), request.profile.limit("hot_holding_min")
    values: dict[str, Value] = {
        "cold": limit_text(cold),
        "hot": limit_text(hot),
        "food": said(request) if request.slots.foods else "",
    }
    food = made_here(request, food_of(request, cooked=True))
    if food is None:
        return Answer("general", values, (tcs_by_kind(None).citation,))
    found = tcs_by_kind(food if food.known else None)
    sources = (found.citation, cold.citation, hot.citation)
    if not food.known:
        return Answer("unknown", values, sources)
    if not found.controlled:
        opened = {"tcs_once_opened", "tcs_once_cut", "tcs_once_mixed"} & set(food.notes)
        return Answer("no_opened" if opened else "no", values, sources)
    if found.assess:
        return Answer("assess", values, sources)
    return Answer("yes_garlic" if "botulism" in food.notes else "yes", values, sources)


always("danger_zone", cold="cold_holding_max", hot="hot_holding_min")
