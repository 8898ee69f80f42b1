"""Taking in deliveries: temperatures by kind of food, frozen goods, and signs of abuse."""

from __future__ import annotations

from collections.abc import Collection
from decimal import Decimal
from enum import StrEnum

from assistant.rules.basis import Citation, Judgement, Temperature, Verdict
from assistant.rules.compare import assumed_detail, judge_at_least, judge_at_most, warmer_than
from assistant.rules.foods import Food
from assistant.rules.profile import Profile

RECEIVING = Citation("FDA Food Code 2022", "3-202.11")
SIGNS = frozenset(
    {
        "damaged_pack",
        "dented_seam",
        "bulging_can",
        "leaking",
        "thawed_and_refrozen",
        "ice_crystals_inside",
        "bad_smell",
        "wrong_label",
        "no_label",
        "past_date",
        "pests",
        "broken_shells",
        "dead_shellfish",
        "no_tag",
    }
)
"""Codes of what makes a delivery refused whatever its temperature."""


class Delivery(StrEnum):
    """What is measured at the door. Egg and shellfish air is the air of the truck."""

    COLD = "cold food"
    HOT = "hot food"
    MILK = "milk"
    EGG_AIR = "shell eggs, air"
    SHELLFISH_AIR = "live shellfish, air"
    SHELLFISH = "live shellfish, inside"


_MOST = {
    Delivery.COLD: "receive_cold_max",
    Delivery.MILK: "receive_milk_max",
    Delivery.EGG_AIR: "receive_egg_air_max",
    Delivery.SHELLFISH_AIR: "receive_shellfish_air_max",
    Delivery.SHELLFISH: "receive_shellfish_internal_max",
}


def delivery_kind(food: Food) -> Delivery:
    """Return what to measure for ``food`` when it comes cold."""
    if food.food_class == "egg_shell_to_order":
        return Delivery.EGG_AIR
    if food.species == "mollusc" and food.food_class != "mollusc_other":
        return Delivery.SHELLFISH
    return Delivery.MILK if food.name == "milk" else Delivery.COLD


def judge_delivery(kind: Delivery, reading: Temperature, profile: Profile) -> Judgement:
    """Judge a reading at the door.

    A pass above the cold holding limit carries the action ``cool_down`` and the hours allowed for it.
    """
    if kind is Delivery.HOT:
        return judge_at_least(reading, profile.limit("receive_hot_min"), "reject")
    judged = judge_at_most(reading, profile.limit(_MOST[kind]), "reject")
    cold, hours = profile.limit("cold_holding_max"), profile.limit("receive_cool_hours_max")
    in_air = kind in {Delivery.EGG_AIR, Delivery.SHELLFISH_AIR}
    if not judged.passed or in_air or not warmer_than(reading, cold):
        return judged
    details = judged.details | assumed_detail(hours) | {"hours": hours.value, "cool_to": cold.value}
    return Judgement(
        Verdict.PASS, "cool_down", (*judged.citations, hours.citation), judged.limits, "cool_down", details
    )


def judge_frozen_delivery(*, frozen_solid: bool, refrozen_signs: bool = False) -> Judgement:
    """Judge frozen goods: frozen solid and never thawed on the way, whatever the thermometer says."""
    source = Citation("FDA Food Code 2022", "3-202.11(E)")
    if frozen_solid and not refrozen_signs:
        return Judgement(Verdict.PASS, "frozen_solid", (source,))
    return Judgement(Verdict.FAIL, "not_frozen", (source,), action="reject")


def judge_signs(signs: Collection[str]) -> Judgement:
    """Judge what was seen; raises ``ValueError`` for a sign that is not in ``SIGNS``."""
    unknown = sorted(set(signs) - SIGNS)
    if unknown:
        raise ValueError(f"no such sign: {', '.join(unknown)}; use one of: {', '.join(sorted(SIGNS))}")
    if signs:
        seen: dict[str, Decimal | str] = {"signs": ", ".join(sorted(signs))}
        return Judgement(Verdict.FAIL, "signs_of_abuse", (RECEIVING,), None, "reject", seen)
    return Judgement(Verdict.PASS, "no_signs", (RECEIVING,))
