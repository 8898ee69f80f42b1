"""Answers about cleaning surfaces and big equipment, and the order of tasks."""

from __future__ import annotations

from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, answers, plain
from assistant.dialogue.answers.advice import always, figure, told
from assistant.rules.basis import Citation, Temperature
from assistant.rules.contact import contact_time
from assistant.rules.setups import setup_steps
from assistant.rules.surfaces import BETWEEN, STRICT, cleaning_interval, judge_cleaning

COLD_ROOM = Temperature(Decimal(41), "F")
MAKER = Citation("FDA Food Code 2022", "4-602.11(E)(4)", "fda_2022", "MEMORY", "monthly: common practice")
WORN = Citation("FDA Food Code 2022", "4-501.12", "fda_2022", "MEMORY")
STEPS = tuple(step.citation for step in setup_steps("clean_in_place"))


@answers("clean_often")
def often(request: Request) -> Answer:
    """Say how often, or judge the hours said."""
    slots = request.slots
    limits = {"hours": "clean_in_use_hours_max"}
    if {"ice", "soda", "beverage", "nozzles"} & set(slots.words):
        return told(request, "ice", MAKER, limits=limits)
    if slots.has("board_worn"):
        return told(request, "worn", WORN)
    if slots.has("change_word") and not slots.has("cleans_word"):
        return told(request, "board", BETWEEN, WORN, limits=limits)
    if slots.has("cold_room"):
        limit = cleaning_interval(COLD_ROOM, request.profile)
        room = f"{plain(COLD_ROOM.value)}°F" if request.site.kitchen.units == "F" else "5°C"
        hours = {
            "usual": plain(request.profile.value("clean_in_use_hours_max")),
            "hours": figure(limit, request),
        }
        return told(request, "cold", limit.citation, room=room, values=hours)
    said = slots.measure("duration")
    if said is not None and not slots.has("how_often"):
        per_hour = {"hour": 1, "minute": 60}.get(said.unit)
        hours_since = said.value / per_hour if per_hour else None
        judged = judge_cleaning(hours_since, request.profile)
        answer = told(request, "fine" if judged.passed else "now", limits=limits)
        return Answer(answer.reply, answer.values, answer.sources, caution=answer.caution)
    return told(request, "now" if slots.has("not_cleaned") else "answer", BETWEEN, limits=limits)


@answers("clean_in_place")
def in_place(request: Request) -> Answer:
    """Say how equipment that does not fit the sink is cleaned."""
    if {"ice", "soda"} & set(request.slots.words):
        return told(request, "ice", MAKER, *STEPS)
    doubled = request.profile.value("swab_strength_factor") > 1
    return told(request, "swab" if doubled else "answer", *STEPS)


@answers("sanitize_surface")
def surface(request: Request) -> Answer:
    """Say the steps for a surface, with the longest contact time of the kitchen's sanitizers."""
    kinds = {product.kind for product in request.site.products} or {"quat"}
    limits = [contact_time(kind, request.profile) for kind in sorted(kinds)]
    longest = max(limits, key=lambda limit: limit.value)
    if request.slots.has("other_chemical"):
        return told(request, "not_sanitizer", *STEPS, limits={"hot": "manual_hot_water_min"})
    return told(request, "answer", *STEPS, longest.citation, seconds=figure(longest, request))


always("task_order", STRICT, Citation("FDA Food Code 2022", "3-302.11(A)", "fda_2022", "READ"))
