"""Thermometer checks, boiling points against physics, offsets and probes."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.rules.basis import Citation, Limit, Temperature
from assistant.rules.boiling import boiling_point
from assistant.rules.profile import load_profile
from assistant.rules.thermometers import (
    judge_boiling_point,
    judge_ice_point,
)

FDA = load_profile()
POULTRY = Limit("poultry", Decimal(165), "F", Citation("FDA Food Code 2022", "3-401.11(A)(3)"))
COLD = Limit("cold", Decimal(5), "C", Citation("FDA Food Code 2022", "3-501.16(A)(2)"))


def f(value: str) -> Temperature:
    return Temperature(Decimal(value))


def c(value: str) -> Temperature:
    return Temperature(Decimal(value), "C")


@given(st.integers(-1500, 15_000))
def test_boiling_agrees_with_the_standard_atmosphere(feet: int) -> None:
    """Within half a degree of the barometric formula and Antoine's equation (textbook constants)."""
    pressure = 760 * (1 - 2.25577e-5 * feet * 0.3048) ** 5.25588
    celsius = 1730.63 / (8.07131 - math.log10(pressure)) - 233.426
    assert float(boiling_point(Decimal(feet))) == pytest.approx(celsius * 1.8 + 32, abs=0.5)


@given(st.decimals(min_value=-10, max_value=10, places=1))
def test_ice_check_is_symmetric_and_agrees_in_both_units(value: Decimal) -> None:
    """Two degrees Fahrenheit either way; Celsius readings of the same probe agree."""
    judged = judge_ice_point(Temperature(value, "C"), FDA)
    assert judged.passed == (abs(value * 9 / 5) <= 2)
    assert judged == judge_ice_point(Temperature(value * 9 / 5 + 32), FDA)


def test_a_probe_within_tolerance_is_still_adjusted() -> None:
    """33F in ice water passes, with its offset told."""
    judged = judge_ice_point(f("33"), FDA)
    assert (judged.passed, judged.action, judged.details["offset"]) == (True, "adjust_if_possible", 1)
    assert judge_ice_point(f("32"), FDA).reason == "true"
    assert judge_ice_point(f("40"), FDA).action == "adjust_or_replace"


def test_a_boiling_check_cites_its_chart() -> None:
    """The altitude chart stands among the sources."""
    judged = judge_boiling_point(f("203"), Decimal(5000), FDA)
    assert judged.citations[-1].document.startswith("altitude chart")
