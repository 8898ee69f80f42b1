"""Answers about thawing."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers, degrees, limit_text, plain
from assistant.rules import thawing


@answers("thaw_how")
def how(request: Request) -> Answer:
    """Say the allowed ways to thaw a food."""
    profile = request.profile
    cold, water = profile.limit("cold_holding_max"), profile.limit("thaw_water_max")
    hours = profile.limit("thaw_water_minutes_max")
    sources = (thawing.THAWING, cold.citation, water.citation, hours.citation)
    values = {
        "cold": degrees(cold.value, cold.unit),
        "water": limit_text(water),
        "hours": plain(hours.value / 60),
    }
    food = request.slots.food(0)
    return Answer("how_ready" if food is not None and food.ready_to_eat else "how", values, sources)
