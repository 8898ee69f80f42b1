"""Answers that refuse what a dangerous question takes for granted, and say what to do instead."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue.answer import Answer, Request, answers
from assistant.dialogue.answers.advice import always, strengths_here, told
from assistant.dialogue.answers.food_words import food_of
from assistant.dialogue.answers.places import kinds_said
from assistant.rules.basis import Citation
from assistant.rules.compare import colder_than, warmer_than
from assistant.rules.cooling import CoolingLimits
from assistant.rules.referrals import referral

IN_FOOD_CONTAINERS = Citation(
    "FDA Food Code 2022", "7-102.11; 7-203.11", flag="MEMORY", note="named; no food container"
)
NEAR_FOOD = Citation("FDA Food Code 2022", "7-202.12; 7-206.12", flag="MEMORY", note="no chemical onto food")
LIVE = Citation("common practice, no source", "live shellfish kept damp", flag="PRACTICE")
MACHINE = Citation("FDA Food Code 2022", "4-501.112; 4-703.11", flag="READ", note="hot water sanitizing")

always("drink_bottle", IN_FOOD_CONTAINERS)
always("shellfish_water", LIVE, cold="cold_holding_max")
always("dish_twice", MACHINE)
always(
    "no_clock",
    Citation("FDA Food Code 2022", "3-501.19", flag="READ", note="time as the control"),
    hours="time_control_hours_max",
    cold="cold_holding_max",
    hot="hot_holding_min",
)
always("bad_container", Citation("FDA Food Code 2022", "4-101.11; 4-101.14; 7-203.11", flag="MEMORY"))
always(
    "stuff_ahead", Citation("USDA, stuffing", "stuff just before", flag="MEMORY"), poultry="cook_poultry_min"
)
always("raw_milk", Citation("FDA Food Code 2022", "3-202.14; 3-202.110", flag="MEMORY"))
always("moldy", Citation("USDA, molds on food", "discard soft food", flag="MEMORY"))
always("single_use", Citation("no rule held", "single-use items and reused packaging", flag="PRACTICE"))
always("ice_gone", cold="cold_holding_max", hours="time_control_hours_max")


@answers("too_strong")
def too_strong(request: Request) -> Answer:
    """Refuse more than the label says, with the strength here."""
    span, sources = strengths_here(request)
    return told(request, "answer", *sources, range=span)


always("spray_near_food", NEAR_FOOD, referral("pests").citation)


@answers("turn_it_up")
def turn_it_up(request: Request) -> Answer:
    """Refuse to heat or chill food in holding equipment; food that is hot enough needs no heat."""
    profile = request.profile
    hot, cold = profile.limit("hot_holding_min"), profile.limit("cold_holding_max")
    reading = request.slots.temperature(request.site.kitchen.units)
    if kinds_said(request) == {"cold"}:
        enough = reading is not None and not warmer_than(reading, cold)
        limits = {"cold": cold.key, "hours": "time_control_hours_max"}
        answer = told(request, "cold_enough" if enough else "cold", limits=limits)
        return replace(answer, why="cold_why", more="cold_more")
    enough = reading is not None and not colder_than(reading, hot)
    limits = {"hot": hot.key, "hours": "hot_rescue_hours_max", "reheat": "reheat_house_min"}
    return told(request, "hot_enough" if enough else "answer", limits=limits)


@answers("cool_shut")
def cool_shut(request: Request) -> Answer:
    """Refuse to cool food shut in, deep or at room temperature; bread may cool on its rack."""
    food, limits = food_of(request), CoolingLimits.of(request.profile)
    if food is not None and food.known and not food.tcs and not food.raw_animal:
        return Answer("not_tcs", sources=(food.citation,))
    return told(request, "answer", limits.stage_one.citation, limits.total.citation)
