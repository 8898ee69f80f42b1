"""Answers about cleaning surfaces and big equipment, and the order of tasks."""

from __future__ import annotations

from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, answers, degrees, plain
from assistant.dialogue.answers.advice import always, figure, told
from assistant.rules.basis import Citation, Temperature
from assistant.rules.contact import contact_time
from assistant.rules.setups import setup_steps
from assistant.rules.surfaces import BETWEEN, STRICT, cleaning_interval, judge_cleaning

HOURS = {"hours": "clean_in_use_hours_max"}
_MINUTES = {"hour": Decimal(60), "minute": Decimal(1)}
MAKER = Citation("FDA Food Code 2022", "4-602.11(E)(4)", "fda_2022", "MEMORY", "monthly: common practice")
WORN = Citation("FDA Food Code 2022", "4-501.12", "fda_2022", "MEMORY")
STEPS = tuple(step.citation for step in setup_steps("clean_in_place"))


@answers("clean_often")
def often(request: Request) -> Answer:
    """Say how often, or judge the hours said."""
    room = request.slots.temperature(request.site.kitchen.units)
    said = request.slots.measure("duration")
    if room is not None:
        return _in_a_room(request, room)
    if said is None or said.unit not in _MINUTES:
        return told(request, "answer", BETWEEN, MAKER, WORN, limits=HOURS)
    judged = judge_cleaning(said.value * _MINUTES[said.unit] / 60, request.profile)
    return told(request, "fine" if judged.passed else "now", *judged.citations, limits=HOURS)


def _in_a_room(request: Request, room: Temperature) -> Answer:
    """Say the interval in a room of a temperature: a cold one allows longer."""
    limit, usual = cleaning_interval(room, request.profile), request.profile.limit(HOURS["hours"])
    if limit.value == usual.value:
        return told(request, "answer", BETWEEN, MAKER, WORN, limits=HOURS)
    values = {
        "room": degrees(room.value, room.unit),
        "usual": plain(usual.value),
        "hours": figure(limit, request),
    }
    return told(request, "cold", limit.citation, values=values)


@answers("clean_in_place")
def in_place(request: Request) -> Answer:
    """Say how equipment that does not fit the sink is cleaned."""
    doubled = request.profile.value("swab_strength_factor") > 1
    return told(request, "swab" if doubled else "answer", *STEPS, MAKER)


@answers("sanitize_surface")
def surface(request: Request) -> Answer:
    """Say the steps for a surface, with the longest contact time of the kitchen's sanitizers."""
    kinds = {product.kind for product in request.site.products} or {"quat"}
    limits = [contact_time(kind, request.profile) for kind in sorted(kinds)]
    longest = max(limits, key=lambda limit: limit.value)
    hot = {"hot": "manual_hot_water_min"}
    return told(request, "answer", *STEPS, longest.citation, limits=hot, seconds=figure(longest, request))


always("task_order", STRICT, Citation("FDA Food Code 2022", "3-302.11(A)", "fda_2022", "READ"))
