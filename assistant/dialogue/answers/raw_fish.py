"""Answers about fish eaten raw: freezing against parasites, what needs none, what acid does not do."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, Value, answers, degrees, limit_text, plain
from assistant.dialogue.answers.cook_done import rare
from assistant.dialogue.answers.food_words import assumed, food_of, said
from assistant.dialogue.moments import hours_of
from assistant.rules import parasites
from assistant.rules.basis import Citation, Limit, Temperature
from assistant.rules.parasites import FREEZING, Freezing

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
def raw_fish(request: Request) -> Answer | None:
    """Say how fish is frozen before it is eaten raw, or why it need not be."""
    if request.slots.has("raw_milk_word"):
        return None
    values, limits = _values(request)
    food = food_of(request)
    if food is not None and food.food_class == "meat_for_raw_service":
        return replace(rare(request), intent="cook_rare")
    words = " ".join(request.slots.words)
    letter = True if request.slots.has("letter_word") and request.slots.has("farmed_word") else None
    need = parasites.freezing_needed(words, farmed_statement=letter)
    sources = (need.citation, *(limit.citation for limit in limits))
    if not need.frozen_first:
        key = "shellfish" if need.reason == "molluscan_shellfish" else "exempt"
        return Answer(key, values, sources)
    if request.slots.has("farmed_word"):
        return Answer("farmed", values, sources, caution=assumed(limits))
    if food is not None and "tuna" in request.slots.words and not request.slots.has("how_long", "how_cold"):
        return Answer("tuna", values, sources, caution=assumed(limits))
    return Answer("freeze", values, sources, caution=assumed(limits))


@answers("raw_fish_check")
def raw_fish_check(request: Request) -> Answer:
    """Judge a freezing by its cold and its time."""
    values, limits = _values(request)
    spent, reading = request.slots.measure("duration"), _frozen_at(request)
    if reading is None:
        return Answer("ask_temp", values, ask="temperature|number")
    hours = hours_of(spent) if spent else Decimal(0)
    blast = limits[2]
    cold_as_blast = reading.in_unit("F") <= Temperature(
        blast.value, "C" if blast.unit == "C" else "F"
    ).in_unit("F")
    way = Freezing.BLAST if cold_as_blast else Freezing.FREEZER
    judged = parasites.judge_freezing(way, hours, request.profile, reading)
    key = {"in_range": "pass", "too_short": "short"}.get(judged.reason, "warm")
    needed = judged.details.get("hours", Decimal(0))
    values |= {
        "reading": degrees(reading.value, reading.unit),
        "needed": plain(needed) if isinstance(needed, Decimal) else "",
        "hours": plain(hours),
    }
    return Answer(key, values, judged.citations, judged.verdict, caution=assumed(limits))


def _frozen_at(request: Request) -> Temperature | None:
    """Return the temperature said; "four below" and "minus four" are read by the number grammar."""
    return request.slots.temperature(request.site.kitchen.units)


@answers("raw_fish_acid")
def acid(request: Request) -> Answer:
    """Say that acid does not replace freezing."""
    values, limits = _values(request)
    return Answer("no", values, (_ACID, FREEZING, limits[0].citation), caution=assumed(limits[:2]))
