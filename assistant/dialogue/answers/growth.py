"""Answers about which foods need time and temperature control."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers, capital
from assistant.dialogue.answers.advice import always, told
from assistant.dialogue.answers.food_words import controlled_once, food_of, made_here, said
from assistant.rules.tcs import tcs_by_kind


@answers("tcs")
def tcs(request: Request) -> Answer:
    """Say whether a food needs time and temperature control; not known counts as yes."""
    name = said(request) if request.slots.foods else ""
    food = made_here(request, food_of(request, cooked=True))
    if food is None:
        return told(request, "general", tcs_by_kind(None).citation)
    found, once = tcs_by_kind(food if food.known else None), controlled_once(food) or ""
    if not food.known:
        reply = "unknown"
    elif not found.controlled:
        reply = "no_once" if once else "no"
    elif food.food_class == "frozen_dessert":
        reply = "frozen"
    elif found.assess:
        reply = "assess"
    else:
        reply = "yes_garlic" if "botulism" in food.notes else "yes"
    return told(
        request, reply, found.citation, food=capital(name) if reply.startswith("no") else name, once=once
    )


always("danger_zone")
