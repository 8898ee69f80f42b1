"""Dish machines: final rinse at the gauge, heat at the plate, wash tank, pressure, chemical machines.

Gauge and plate are different questions: 180F at the manifold is not 160F at the plate. The data plate of
the machine outranks these figures.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache

from assistant.rules.basis import Judgement, Limit, Range, Temperature, Verdict
from assistant.rules.compare import assumed_detail, judge_at_least, judge_at_most, warmer_than
from assistant.rules.product import Between, Product, SanitizerKind, Strength
from assistant.rules.profile import Profile
from assistant.rules.tables import read_table


class UnknownMachineError(LookupError):
    """Raised for a kind of dish machine that the table does not hold."""


@dataclass(frozen=True, slots=True)
class DishMachine:
    """One kind of machine and the keys of its limits; no final-rinse key means chemical sanitizing."""

    name: str
    title: str
    wash_key: str
    final_rinse_key: str


@cache
def dish_machines() -> dict[str, DishMachine]:
    """Return the kinds of dish machine by name."""
    return {
        row["name"]: DishMachine(row["name"], row["title"], row["wash_key"], row["final_rinse_key"])
        for row in read_table("dish_machines")
    }


def dish_machine(name: str) -> DishMachine:
    """Return one kind of machine; raises ``UnknownMachineError`` with the names that exist."""
    try:
        return dish_machines()[name]
    except KeyError:
        known = ", ".join(dish_machines())
        raise UnknownMachineError(f"'{name}' is no kind of dish machine; use one of: {known}") from None


def judge_final_rinse(temperature: Temperature, machine: str, profile: Profile) -> Judgement:
    """Judge the gauge of the final rinse at the manifold of a hot-water machine."""
    key = dish_machine(machine).final_rinse_key
    top = profile.limit("dish_final_rinse_max")
    if not key:
        return Judgement(Verdict.CANNOT_JUDGE, "chemical_machine", (top.citation,), action="test_with_strip")
    least = profile.limit(key)
    if warmer_than(temperature, top):
        return judge_at_most(temperature, top, "call_service", "too_hot")
    judged = judge_at_least(temperature, least, "check_plate", "too_low")
    limits = Range(least.unit, least.value, top.value)
    citations = (least.citation, top.citation)
    return Judgement(
        judged.verdict, judged.reason, citations, limits, judged.action, assumed_detail(least, top)
    )


def judge_plate(temperature: Temperature, profile: Profile) -> Judgement:
    """Judge the heat that reached the dish itself, by an irreversible label or holding thermometer."""
    return judge_at_least(temperature, profile.limit("dish_plate_min"), "rewash_and_call_service")


def judge_wash_tank(temperature: Temperature, machine: str, profile: Profile) -> Judgement:
    """Judge the wash tank of a machine of this kind."""
    return judge_at_least(temperature, profile.limit(dish_machine(machine).wash_key), "heat_water")


def judge_rinse_pressure(psi: Decimal, profile: Profile) -> Judgement:
    """Judge the flow pressure of the fresh hot final rinse, in psi."""
    low, high = profile.limit("dish_rinse_pressure_min"), profile.limit("dish_rinse_pressure_max")
    return _in_range(psi, low, high, "call_service")


def judge_chemical_rinse(
    ppm: Strength,
    kind: SanitizerKind,
    profile: Profile,
    temperature: Temperature | None = None,
    product: Product | None = None,
) -> Judgement:
    """Judge the sanitizing rinse of a chemical machine by its strip and, if said, the water.

    The label of the product it is fed narrows the code's range and never widens it. A strip
    between two blocks that straddles a limit is to be tested again.
    """
    low = profile.limit(f"dish_{kind}_min")
    high = profile.limit("chlorine_no_rinse_max" if kind == "chlorine" else f"dish_{kind}_max")
    if isinstance(ppm, Between):
        at_low, at_high = (_by_label(end, low, high, product) for end in (ppm.low, ppm.high))
        if at_low.reason != at_high.reason:
            return Judgement(
                Verdict.CANNOT_JUDGE, "between_blocks", at_low.citations, at_low.limits, "retest"
            )
        strength = at_low
    else:
        strength = _by_label(ppm, low, high, product)
    if temperature is None or not strength.passed:
        return strength
    water_min = profile.limit(f"dish_{kind}_water_min")
    water = judge_at_least(temperature, water_min, "check_data_plate", "water_too_cold")
    return strength if water.passed else water


def _by_label(ppm: Decimal, low: Limit, high: Limit, product: Product | None) -> Judgement:
    """Judge a strength by the code, and by the label where that is narrower."""
    by_code = _in_range(ppm, low, high, "call_service")
    if product is None or not by_code.passed:
        return by_code
    least = max(low.value, product.label_min_ppm or low.value)
    most = min(high.value, product.label_max_ppm or high.value)
    reason = "too_low" if ppm < least else "too_high" if ppm > most else ""
    limits = Range(low.unit, least, most)
    citations = (product.citation, *by_code.citations)
    if not reason:
        return replace(by_code, citations=citations, limits=limits)
    return Judgement(Verdict.FAIL, reason, citations, limits, "call_service", by_code.details)


def _in_range(value: Decimal, low: Limit, high: Limit, action: str) -> Judgement:
    limits = Range(low.unit, low.value, high.value)
    citations = (low.citation, high.citation)
    details = assumed_detail(low, high)
    if value < low.value:
        return Judgement(Verdict.FAIL, "too_low", citations, limits, action, details)
    if value > high.value:
        return Judgement(Verdict.FAIL, "too_high", citations, limits, action, details)
    return Judgement(Verdict.PASS, "in_range", citations, limits, details=details)
