"""Answers about dish machines: gauge, plate, wash tank, chemical rinse, pressure, a machine that is down."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, answers, plain
from assistant.dialogue.answers.advice import always, by_reading, told
from assistant.dialogue.judge import CHEMICAL_MACHINE, DEFAULT_MACHINE
from assistant.rules.basis import Citation
from assistant.rules.dish_machine import (
    dish_machine,
    judge_final_rinse,
    judge_rinse_pressure,
    judge_wash_tank,
)
from assistant.rules.referrals import referral

DOWN = referral("equipment_repair").citation
TESTING = Citation("FDA Food Code 2022", "4-302.13; 4-302.14", "fda_2022", "READ", "how often: practice")
DATA_PLATE = Citation("machine data plate", "operating figures", flag="SITE")


def machine_of(request: Request) -> str:
    """Return the kind of the machine meant, else that of all hot ones here, else the strictest."""
    meant = [item for place in request.about if (item := request.site.equipment_by_id(place)) is not None]
    hot = [item for item in request.site.equipment if item.kind == "dish_machine_hot"]
    kinds = {CHEMICAL_MACHINE if m.kind == "dish_machine_chemical" else m.machine for m in meant or hot}
    return (kinds.pop() if len(kinds) == 1 else "") or DEFAULT_MACHINE


@answers("dish_rinse")
def rinse(request: Request) -> Answer:
    """Say the final rinse, or judge the one said."""
    machine = machine_of(request)
    key = dish_machine(machine).final_rinse_key or "dish_final_rinse_min"
    limits = {
        "least": key,
        "most": "dish_final_rinse_max",
        "plate": "dish_plate_min",
        "single": "dish_final_rinse_single_temperature_min",
    }
    hot = machine if machine != CHEMICAL_MACHINE else DEFAULT_MACHINE
    answer = by_reading(
        request,
        lambda reading: judge_final_rinse(reading, hot, request.profile),
        {"too_hot": "high", "too_low": "low"},
        DATA_PLATE,
        least=100,
        limits=limits,
    )
    if key != limits["single"]:
        return answer
    reading = request.slots.temperature(request.site.kitchen.units)
    elsewhere = request.profile.value("dish_final_rinse_min")
    replies = {"answer": "single", "low": "single_low"}
    if reading is not None and round(reading.in_unit("F")) == elsewhere:
        replies["fine"] = "others"  # read here it is good, but it is not what this machine must reach
    return replace(answer, reply=replies.get(answer.reply, answer.reply))


@answers("dish_wash")
def wash(request: Request) -> Answer:
    """Say the wash tank's least temperature by kind of machine."""
    machine = machine_of(request)
    limits = {
        "least": dish_machine(machine).wash_key,
        "single": "dish_wash_single_temperature_min",
        "dual": "dish_wash_dual_temperature_min",
        "conveyor": "dish_wash_single_tank_conveyor_min",
        "multi": "dish_wash_multitank_conveyor_min",
        "chemical": dish_machine(CHEMICAL_MACHINE).wash_key,
    }
    return by_reading(
        request,
        lambda reading: judge_wash_tank(reading, machine, request.profile),
        {"too_low": "low"},
        DATA_PLATE,
        least=60,
        limits=limits,
    )


@answers("dish_chemical")
def chemical(request: Request) -> Answer:
    """Say the strength in a chemical machine's rinse."""
    kinds = [
        product.kind
        for item in request.site.equipment
        if item.kind == "dish_machine_chemical" and (product := request.site.product_of(item.id)) is not None
    ]
    kind = kinds[0] if kinds else "chlorine"
    if kind == "chlorine":
        limits = {"water": "dish_chlorine_water_min"}
        top = plain(request.profile.value("chlorine_no_rinse_max"))
        return told(request, "answer", DATA_PLATE, limits=limits, top=top)
    low, high = (request.profile.limit(f"dish_{kind}_{end}") for end in ("min", "max"))
    values = {"low": plain(low.value), "top": plain(high.value), "kind": kind}
    return told(request, "quat", DATA_PLATE, low.citation, values=values)


@answers("dish_pressure")
def pressure(request: Request) -> Answer:
    """Say the rinse pressure, or judge the one said."""
    low, high = (request.profile.limit(f"dish_rinse_pressure_{end}") for end in ("min", "max"))
    ends = {"low": plain(low.value), "high": plain(high.value)}
    said = request.slots.measure("pressure", "weight", "number")
    if said is None:
        return told(request, "answer", low.citation, DATA_PLATE, value="", values=ends)
    judged = judge_rinse_pressure(Decimal(said.value), request.profile)
    reply = "fine" if judged.passed else "high" if judged.reason == "too_high" else "low"
    return told(
        request, reply, low.citation, value=f"{plain(said.value)} psi", values=ends, verdict=judged.verdict
    )


always("dish_plate", plate="dish_plate_min", rinse="dish_final_rinse_min")
always("dish_wrong", DATA_PLATE, low="dish_chlorine_min")
always("dish_down", DOWN, Citation("FDA Food Code 2022", "4-501.14; 4-603.16", "fda_2022", "MEMORY"))
always("dish_dirty", Citation("FDA Food Code 2022", "4-601.11; 4-603.12", "fda_2022", "MEMORY"))
always("dish_check", TESTING)
