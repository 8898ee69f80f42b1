"""Answers about thermometers: checks, drops, cleaning, which one, and where to put it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, answers, plain
from assistant.dialogue.answers.advice import always, figure, told
from assistant.rules.basis import Citation, Limit
from assistant.rules.boiling import BOILING_SOURCE, boiling_point
from assistant.rules.probes import probes
from assistant.rules.rounding import rounded
from assistant.rules.setups import setup_steps

MILE = Decimal(5280)
"""Feet above the sea where people say that they are a mile up."""
ACCURACY = {"within": "probe_tolerance"}
OFTEN = Citation(
    "FDA Food Code 2022", "4-502.11(B)", "fda_2022", "MEMORY", "as needed; daily: common practice"
)
CLEAN = Citation("FDA Food Code 2022", "4-602.11(A)(4)", "fda_2022", "READ")
WHERE = Citation("USDA food thermometer pages", "placement", flag="READ")


def _ice(request: Request) -> str:
    return "0°C" if request.site.kitchen.units == "C" else "32°F"


def _boil(request: Request, feet: Decimal) -> str:
    exact = Limit("boiling_point", rounded(boiling_point(feet), 0), "F", BOILING_SOURCE)
    return figure(exact, request)


def _feet(request: Request) -> Decimal:
    said = request.slots.number("altitude")
    if request.slots.has("mile_high"):
        return MILE
    if said is None and request.slots.has("altitude_word"):
        number = request.slots.number("number")
        said = number if number is not None and number >= 300 else None
    return said if said is not None else Decimal(request.site.kitchen.altitude_feet)


@answers("probe_check")
def check(request: Request) -> Answer:
    """Say how a probe is checked in ice water, and how often."""
    reply = "often" if request.slots.has("how_often") else "answer"
    boil = _boil(request, Decimal(request.site.kitchen.altitude_feet))
    return told(request, reply, OFTEN, limits=ACCURACY, ice=_ice(request), boil=boil)


@answers("probe_boil")
def boil(request: Request) -> Answer:
    """Say where water boils at this or the altitude said."""
    feet = _feet(request)
    values = {"boil": _boil(request, feet), "feet": plain(feet), "ice": _ice(request)}
    return told(request, "answer", BOILING_SOURCE, limits=ACCURACY, values=values)


@answers("probe_dropped")
def dropped(request: Request) -> Answer:
    """Say what a dropped probe needs before the next reading."""
    sources = (step.citation for step in setup_steps("probe_dropped"))
    return told(request, "answer", *sources, limits=ACCURACY, ice=_ice(request))


@answers("probe_off")
def off(request: Request) -> Answer:
    """Judge by how much a probe is off."""
    limit = request.profile.limit("probe_tolerance")
    said = request.slots.measure("temperature", "number")
    reply = "answer"
    if said is not None and request.slots.has("ice_point") and said.value >= 20:
        said = replace(said, options=(said.value - 32,))
    if said is not None and said.value < 20:
        celsius = said.unit == "C" or (said.unit == "" and request.site.kitchen.units == "C")
        degrees = abs(said.value) * (Decimal("1.8") if celsius else 1)
        reply = "within" if degrees <= limit.value else "out"
    elif {"couple"} & set(request.slots.words):
        reply = "within"
    return told(request, reply, OFTEN, limits=ACCURACY, ice=_ice(request))


@answers("probe_kind")
def kind(request: Request) -> Answer:
    """Say which thermometer suits."""
    slots = request.slots
    thin = slots.has("thin_food")
    reply, name = "answer", "thin_probe"
    if slots.has("infrared"):
        reply, name = "infrared", "infrared"
    elif slots.has("popup_word"):
        return told(request, "popup", WHERE)
    elif slots.has("glass_probe"):
        glass = Citation("FDA Food Code 2022", "4-201.12", "fda_2022", "MEMORY")
        return told(request, "glass", glass, limits=ACCURACY)
    elif slots.has("dial_probe"):
        reply, name = "dial", "bimetal_dial"
    elif thin:
        reply = "thin"
    return told(request, reply, probes()[name].citation, limits=ACCURACY)


@answers("air_thermometer")
def air(request: Request) -> Answer:
    """Say how near an air thermometer has to be, and where it hangs."""
    hang = request.slots.has("where", "where_hang")
    where = Citation("FDA Food Code 2022", "4-204.112", "fda_2022", "MEMORY", "warmest part of the unit")
    return told(request, "where" if hang else "answer", where, limits={"within": "air_tolerance"})


@answers("probe_clean")
def clean(request: Request) -> Answer:
    """Say that the probe is cleaned before each food, and what to do once it was not."""
    slots = request.slots
    moved = slots.has("did_raw") and slots.has("stick_word", "put", "combine")
    asks = slots.has("can", "should", "okay_word", "how", "what")
    reply = "answer"
    if moved and slots.has("soup_word", "in_food", "ready_target", "cooked_target"):
        reply = "no" if asks else "done"
    return told(request, reply, CLEAN)


always("probe_where", WHERE)
