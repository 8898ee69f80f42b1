"""Conversions are exact and household measures never pass their cap."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from functools import cache

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.rules.basis import Temperature
from assistant.rules.units import (
    ML_PER_UNIT,
    Measure,
    UnknownUnitError,
    household_measure,
    metric_measure,
    pounds,
    volume_in,
    volume_ml,
)

millilitres = st.fractions(min_value=Fraction(1, 2), max_value=2000, max_denominator=100)


@cache
def registry() -> pint.UnitRegistry[Fraction]:
    """Return the library's units, read when they are first asked for."""
    return pint.UnitRegistry(non_int_type=Fraction)


@pytest.mark.parametrize("unit", sorted(set(ML_PER_UNIT) - {"millilitre", "litre"}))
def test_us_units_agree_with_an_independent_unit_library(unit: str) -> None:
    """Each US measure equals the definition in pint, exactly."""
    theirs = registry().Quantity(Fraction(1), unit).to("millilitre").magnitude
    assert volume_ml(1, unit) == theirs


def test_pound_agrees_with_an_independent_unit_library() -> None:
    """A pound in kilograms equals pint's definition, exactly."""
    assert 1 / pounds(1, "kilogram") == registry().Quantity(Fraction(1), "pound").to("kilogram").magnitude


@given(st.decimals(min_value=-60, max_value=320, places=1))
def test_temperatures_agree_with_an_independent_unit_library(value: Decimal) -> None:
    """Fahrenheit to Celsius equals pint's conversion."""
    theirs = registry().Quantity(Fraction(value), "degF").to("degC").magnitude
    assert float(Temperature(value).in_unit("C")) == pytest.approx(float(theirs), abs=1e-9)


def test_a_litre_is_a_thousand_millilitres() -> None:
    """Metric volumes are by definition."""
    assert volume_ml(Decimal("2.5"), "litre") == 2500
    assert volume_in(Fraction(250), "litre") == Fraction(1, 4)


@given(millilitres, st.sampled_from(sorted(ML_PER_UNIT)))
def test_there_and_back_is_the_same(amount: Fraction, unit: str) -> None:
    """Converting to a unit and back loses nothing."""
    assert volume_ml(volume_in(amount, unit), unit) == amount


def test_an_unknown_unit_is_refused_by_name() -> None:
    """The message names the unit and those that exist."""
    with pytest.raises(UnknownUnitError, match="'firkin' is no volume unit; use one of: millilitre"):
        volume_ml(1, "firkin")


@given(millilitres, millilitres, millilitres)
def test_a_household_measure_keeps_within_its_bounds(ideal: Fraction, one: Fraction, other: Fraction) -> None:
    """Whatever is asked for, the measure never passes the cap nor falls under the floor."""
    low, high = min(one, other), max(one, other)
    measure = household_measure(ideal, high, low)
    assert measure is None or low <= measure.ml <= high


@given(millilitres, millilitres, millilitres)
def test_a_metric_measure_keeps_within_its_bounds(ideal: Fraction, one: Fraction, other: Fraction) -> None:
    """The same for millilitres, which are never nothing."""
    low, high = min(one, other), max(one, other)
    amount = metric_measure(ideal, high, low)
    assert amount is None or 0 < low <= amount <= high


@pytest.mark.parametrize(
    ("ideal", "parts"),
    [
        (5, ((1, "teaspoon"),)),
        (7, ((Fraction(3, 2), "teaspoon"),)),
        (22, ((Fraction(3, 2), "tablespoon"),)),
        (60, ((Fraction(1, 4), "cup"),)),
        (90, ((Fraction(1, 4), "cup"), (2, "tablespoon"))),
        (1, ((Fraction(1, 4), "teaspoon"),)),
    ],
)
def test_the_nearest_measure_is_what_a_cook_would_take(ideal: int, parts: tuple[object, ...]) -> None:
    """Spoons for little, cups for much."""
    assert household_measure(Fraction(ideal), Fraction(1000)) == Measure(parts)  # type: ignore[arg-type]


def test_more_than_a_gallon_of_concentrate_has_no_household_measure() -> None:
    """Past the ladder nothing fits."""
    assert household_measure(Fraction(9000), Fraction(10000), Fraction(8000)) is None


@pytest.mark.parametrize(("ideal", "step"), [("7.2", "7"), ("7.4", "7.5"), ("36.1", "36"), ("108.4", "110")])
def test_metric_steps_are_readable_on_a_jug(ideal: str, step: str) -> None:
    """Half, whole or five millilitres, by size."""
    assert metric_measure(Fraction(ideal), Fraction(500)) == Fraction(step)


def test_no_metric_step_fits_a_needle_eye() -> None:
    """Bounds narrower than a step give nothing."""
    assert metric_measure(Fraction("7.2"), Fraction("7.3"), Fraction("7.1")) is None
