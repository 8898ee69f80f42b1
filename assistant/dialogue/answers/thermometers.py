"""Answers about thermometers: checks, drops, cleaning, which one, and where to put it."""

from __future__ import annotations

from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, answers, plain
from assistant.dialogue.answers.advice import always, figure, told
from assistant.rules.basis import Citation, Limit
from assistant.rules.boiling import BOILING_SOURCE, boiling_point
from assistant.rules.probes import probes
from assistant.rules.rounding import rounded
from assistant.rules.setups import setup_steps

LEAST_FEET = Decimal(300)
"""A bare number from here on, said of boiling water, is no temperature but the height of the kitchen."""
IN_ICE = (Decimal(20), Decimal(50))
"""A number in this range, in degrees F, said of a probe that is off is what it reads in ice water."""
ACCURACY = {"within": "probe_tolerance"}
OFTEN = Citation(
    "FDA Food Code 2022", "4-502.11(B)", "fda_2022", "MEMORY", "as needed; daily: common practice"
)
CLEAN = Citation("FDA Food Code 2022", "4-602.11(A)(4)", "fda_2022", "READ")
GLASS = Citation("FDA Food Code 2022", "4-201.12", "fda_2022", "MEMORY")
AIR = Citation("FDA Food Code 2022", "4-204.112", "fda_2022", "MEMORY", "warmest part of the unit")
WHERE = Citation("USDA food thermometer pages", "placement", flag="READ")


def _ice(request: Request) -> str:
    return "0°C" if request.site.kitchen.units == "C" else "32°F"


def _boil(request: Request, feet: Decimal) -> str:
    exact = Limit("boiling_point", rounded(boiling_point(feet), 0), "F", BOILING_SOURCE)
    return figure(exact, request)


def _feet(request: Request) -> Decimal:
    """Return the height told, whatever else was, or the kitchen's; 0 where neither is known."""
    told_high = (m for m in request.slots.all_measures("altitude", "number") if m.kind == "altitude")
    bare = (m for m in request.slots.all_measures("number") if m.value >= LEAST_FEET)
    said = next(iter((*told_high, *bare)), None)
    return said.value if said is not None else Decimal(request.site.kitchen.altitude_feet)


@answers("probe_check")
def check(request: Request) -> Answer:
    """Say how a probe is checked in ice water, and how often."""
    boil = _boil(request, Decimal(request.site.kitchen.altitude_feet))
    return told(request, "answer", OFTEN, limits=ACCURACY, ice=_ice(request), boil=boil)


@answers("probe_boil")
def boil(request: Request) -> Answer:
    """Say where water boils at this or the altitude said."""
    feet = _feet(request)
    values = {"boil": _boil(request, feet), "feet": plain(feet), "ice": _ice(request)}
    reply = "answer" if feet else "height_unknown"
    return told(request, reply, BOILING_SOURCE, limits=ACCURACY, values=values)


@answers("probe_dropped")
def dropped(request: Request) -> Answer:
    """Say what a dropped probe needs before the next reading."""
    sources = (step.citation for step in setup_steps("probe_dropped"))
    return told(request, "answer", *sources, limits=ACCURACY, ice=_ice(request))


@answers("probe_off")
def off(request: Request) -> Answer:
    """Judge by how much a probe is off."""
    limit = request.profile.limit("probe_tolerance")
    every = request.slots.all_measures("temperature", "number")  # "number three, it's thirty three"
    said = next((m for m in every if IN_ICE[0] <= m.value <= IN_ICE[1]), next(iter(every), None))
    reply = "answer"
    if said is not None:
        celsius = said.unit == "C" or (said.unit == "" and request.site.kitchen.units == "C")
        read = not celsius and IN_ICE[0] <= said.value <= IN_ICE[1]
        degrees = abs(said.value - 32 if read else said.value) * (Decimal("1.8") if celsius else 1)
        reply = "within" if degrees <= limit.value else "out" if degrees < IN_ICE[0] else "answer"
    return told(request, reply, OFTEN, limits=ACCURACY, ice=_ice(request))


always("probe_kind", GLASS, *(probe.citation for probe in probes().values()))
always("air_thermometer", AIR, within="air_tolerance")
always("probe_clean", CLEAN)
always("probe_where", WHERE)
