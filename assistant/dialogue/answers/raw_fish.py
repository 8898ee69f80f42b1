"""Answers about fish eaten raw: freezing against parasites, what needs none, what acid does not do."""

from __future__ import annotations

from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, answers, plain
from assistant.dialogue.answers.advice import always, shown, told
from assistant.dialogue.answers.food_words import food_of, said
from assistant.dialogue.moments import hours_of
from assistant.rules.basis import Citation
from assistant.rules.compare import warmer_than
from assistant.rules.parasites import FREEZING, Freezing, freezing_needed, judge_freezing
from assistant.rules.susceptible import ADVISORY

_ACID = Citation("derived safe answer", "acid is no freezing", flag="MEMORY")
FIGURES = {
    "freezer": "parasite_freezer_max",
    "days": "parasite_freezer_hours_min",
    "blast": "parasite_blast_max",
    "blast_hours": "parasite_blast_hours_min",
    "then_hours": "parasite_blast_then_freezer_hours_min",
    "record": "parasite_record_days",
}


@answers("raw_fish")
def raw_fish(request: Request) -> Answer:
    """Say how fish is frozen before it is eaten raw, or why it need not be."""
    food, fish = food_of(request), " ".join(request.slots.foods)
    if food is not None and food.food_class == "meat_for_raw_service":
        return told(request, "meat", ADVISORY, food.citation)
    need = freezing_needed(fish)
    if not need.frozen_first:
        key = "shellfish" if need.reason == "molluscan_shellfish" else "exempt"
        return told(request, key, need.citation, limits=FIGURES, food=said(request) if fish else "it")
    key = "farmed" if request.slots.has("as_farmed") else "tuna" if "tuna" in fish.split() else "freeze"
    return told(request, key, need.citation, limits=FIGURES)


@answers("raw_fish_check")
def raw_fish_check(request: Request) -> Answer:
    """Judge a freezing by its cold and its time."""
    spent, reading = request.slots.measure("duration"), request.slots.temperature(request.site.kitchen.units)
    if reading is None:
        return told(request, "ask_temp", ask="temperature|number")
    hours = hours_of(spent) if spent else Decimal(0)
    blast = request.profile.limit(FIGURES["blast"])
    way = Freezing.FREEZER if warmer_than(reading, blast) else Freezing.BLAST
    judged = judge_freezing(way, hours, request.profile, reading)
    key = {"in_range": "pass", "too_short": "short"}.get(judged.reason, "warm")
    needed = judged.details.get("hours")
    values = {"reading": shown(reading), "hours": plain(hours)}
    values["needed"] = plain(needed) if isinstance(needed, Decimal) else ""
    return told(request, key, *judged.citations, limits=FIGURES, values=values, verdict=judged.verdict)


always("raw_fish_acid", _ACID, FREEZING, reply="no", **FIGURES)
