"""Dish machines and hot water."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.rules.basis import Temperature, Verdict
from assistant.rules.dish_machine import (
    UnknownMachineError,
    dish_machine,
    dish_machines,
    judge_chemical_rinse,
    judge_final_rinse,
    judge_rinse_pressure,
    judge_wash_tank,
)
from assistant.rules.hot_water import judge_hot_water
from assistant.rules.product import Between, Product
from assistant.rules.profile import load_profile

FDA = load_profile()


def heat(degrees: int) -> Temperature:
    return Temperature(Decimal(degrees))


def test_an_unknown_machine_is_held_to_the_strictest() -> None:
    """172F passes only where the machine is known to be the single-temperature kind."""
    judged = judge_final_rinse(heat(172), "unknown_hot_water", FDA)
    assert (judged.reason, judged.action) == ("too_low", "check_plate")
    assert judge_final_rinse(heat(172), "stationary_single_temperature", FDA).passed


def test_over_194_fails_in_any_machine() -> None:
    """It flashes to steam."""
    for name, machine in dish_machines().items():
        if machine.final_rinse_key:
            assert judge_final_rinse(heat(195), name, FDA).reason == "too_hot"


def test_a_chemical_machine_has_no_rinse_heat() -> None:
    """Its strip is what counts."""
    judged = judge_final_rinse(heat(180), "chemical", FDA)
    assert (judged.verdict, judged.action) == (Verdict.CANNOT_JUDGE, "test_with_strip")


def test_a_machine_nobody_knows_is_named() -> None:
    """The message lists the kinds."""
    with pytest.raises(
        UnknownMachineError, match="'steam gun' is no kind of dish machine; use one of: station"
    ):
        dish_machine("steam gun")
    assert judge_wash_tank(heat(120), "chemical", FDA).passed


@pytest.mark.parametrize(
    ("psi", "reason"), [(4, "too_low"), (5, "in_range"), (30, "in_range"), (31, "too_high")]
)
def test_rinse_pressure(psi: int, reason: str) -> None:
    """4-501.113: 5 to 30 psi."""
    assert judge_rinse_pressure(Decimal(psi), FDA).reason == reason


def test_a_chemical_machine_is_judged_by_strip_and_water() -> None:
    """50 to 200 ppm chlorine in water of 120F, by NSF/ANSI 3."""
    assert judge_chemical_rinse(Decimal(100), "chlorine", FDA).passed
    assert judge_chemical_rinse(Decimal(210), "chlorine", FDA).action == "call_service"
    assert judge_chemical_rinse(Decimal(100), "chlorine", FDA, heat(120)).passed
    assert judge_chemical_rinse(Decimal(100), "chlorine", FDA, heat(119)).reason == "water_too_cold"
    assert judge_chemical_rinse(Decimal(26), "iodine", FDA, heat(60)).reason == "too_high"


def test_a_machine_strip_between_blocks_is_tested_again() -> None:
    """Unless both blocks say the same."""
    assert judge_chemical_rinse(Between(Decimal(10), Decimal(50)), "chlorine", FDA).action == "retest"
    assert judge_chemical_rinse(Between(Decimal(50), Decimal(100)), "chlorine", FDA).passed


def test_a_label_narrows_a_machine_s_range() -> None:
    """The directions for use hold beside the code (NSF/ANSI 3, from memory; 40 CFR 180.940: by the label)."""
    label = Product("bleach", "chlorine", Decimal(75), Decimal(100))
    strengths = (Decimal(60), Decimal(80), Decimal(120))
    reasons = [judge_chemical_rinse(each, "chlorine", FDA, product=label).reason for each in strengths]
    assert reasons == ["too_low", "in_range", "too_high"]


def test_hot_water_is_judged_without_a_time_too() -> None:
    """171F is the water's own limit."""
    assert judge_hot_water(heat(171), FDA).passed
    assert judge_hot_water(heat(170), FDA).reason == "water_too_cold"
