"""Answers about fish eaten raw: freezing against parasites, what needs none, what acid does not do."""

from __future__ import annotations

from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, Value, answers, degrees, limit_text, plain
from assistant.dialogue.answers.food_words import assumed, food_of, said
from assistant.dialogue.moments import hours_of
from assistant.rules import parasites
from assistant.rules.basis import Citation, Limit
from assistant.rules.compare import warmer_than
from assistant.rules.parasites import FREEZING, Freezing
from assistant.rules.susceptible import ADVISORY

_ACID = Citation("derived safe answer", "acid is no freezing", flag="MEMORY")


def _values(request: Request) -> tuple[dict[str, Value], list[Limit]]:
    profile = request.profile
    ways = parasites.freezing_ways(profile)
    cold, hours = ways[Freezing.FREEZER]
    blast, blast_hours = ways[Freezing.BLAST]
    _, then_hours = ways[Freezing.BLAST_THEN_FREEZER]
    record = profile.limit("parasite_record_days")
    values: dict[str, Value] = {
        "freezer": limit_text(cold),
        "days": plain(hours.value / 24),
        "hours": plain(hours.value),
        "blast": limit_text(blast),
        "blast_hours": plain(blast_hours.value),
        "then_hours": plain(then_hours.value),
        "record": plain(record.value),
        "cold": limit_text(profile.limit("cold_holding_max")),
        "food": said(request) if request.slots.foods else "it",
    }
    return values, [cold, hours, blast, blast_hours, then_hours, record]


@answers("raw_fish")
def raw_fish(request: Request) -> Answer:
    """Say how fish is frozen before it is eaten raw, or why it need not be."""
    values, limits = _values(request)
    food, fish = food_of(request), " ".join(request.slots.foods)
    if food is not None and food.food_class == "meat_for_raw_service":
        return Answer("meat", values, (ADVISORY, food.citation))
    need = parasites.freezing_needed(fish)
    sources = (need.citation, *(limit.citation for limit in limits))
    if not need.frozen_first:
        key = "shellfish" if need.reason == "molluscan_shellfish" else "exempt"
        return Answer(key, values, sources)
    key = "farmed" if request.slots.has("as_farmed") else "tuna" if "tuna" in fish.split() else "freeze"
    return Answer(key, values, sources, caution=assumed(limits))


@answers("raw_fish_check")
def raw_fish_check(request: Request) -> Answer:
    """Judge a freezing by its cold and its time."""
    values, limits = _values(request)
    spent, reading = request.slots.measure("duration"), request.slots.temperature(request.site.kitchen.units)
    if reading is None:
        return Answer("ask_temp", values, ask="temperature|number")
    hours = hours_of(spent) if spent else Decimal(0)
    way = Freezing.FREEZER if warmer_than(reading, limits[2]) else Freezing.BLAST
    judged = parasites.judge_freezing(way, hours, request.profile, reading)
    key = {"in_range": "pass", "too_short": "short"}.get(judged.reason, "warm")
    needed = judged.details.get("hours", Decimal(0))
    values |= {
        "reading": degrees(reading.value, reading.unit),
        "needed": plain(needed) if isinstance(needed, Decimal) else "",
        "hours": plain(hours),
    }
    return Answer(key, values, judged.citations, judged.verdict, caution=assumed(limits))


@answers("raw_fish_acid")
def acid(request: Request) -> Answer:
    """Say that acid does not replace freezing."""
    values, limits = _values(request)
    return Answer("no", values, (_ACID, FREEZING, limits[0].citation), caution=assumed(limits[:2]))
