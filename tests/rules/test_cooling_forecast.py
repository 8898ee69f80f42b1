"""The Newton fit against an independent optimiser, and what the forecast says."""

from __future__ import annotations

from decimal import Decimal
from math import exp

import numpy as np
import pytest
import scipy  # its parts are loaded where they are used: every process of a test run reads this file
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.rules.basis import Temperature
from assistant.rules.cooling_curve import CoolingReading
from assistant.rules.cooling_fit import fit_cooling
from assistant.rules.cooling_forecast import forecast_cooling
from assistant.rules.profile import load_profile

FDA = load_profile()
COOLER = Temperature(Decimal(38))
HOURS = [0.0, 0.4, 0.9, 1.3, 2.0, 3.1]
NOISE = [0.6, -1.4, 2.1, -0.7, 1.2, -1.5]


def readings(*pairs: tuple[object, object]) -> list[CoolingReading]:
    return [CoolingReading(Decimal(str(h)), Temperature(Decimal(str(t)))) for h, t in pairs]


def newton(t: np.ndarray, excess: float, rate: float, around: float) -> np.ndarray:
    return around + excess * np.exp(-rate * t)


@settings(max_examples=25)
@given(st.floats(0.2, 3), st.floats(60, 120), st.floats(30, 50))
def test_the_fit_agrees_with_scipy(rate: float, excess: float, around: float) -> None:
    """Parameters and covariance equal scipy's least squares on the same noisy readings."""
    degrees = [around + excess * exp(-rate * h) + n for h, n in zip(HOURS, NOISE, strict=True)]
    ours = fit_cooling(HOURS, degrees)
    assert ours is not None
    start = [excess, rate, around]
    theirs, covariance = scipy.optimize.curve_fit(newton, np.array(HOURS), np.array(degrees), p0=start)
    assert [ours.excess, ours.rate, ours.surroundings] == pytest.approx(theirs, rel=2e-4)
    residual = np.array(degrees) - newton(np.array(HOURS), *theirs)
    spread = float(np.sqrt((residual**2).sum() / 3))
    scaled = np.array(ours.covariance) * (spread / ours.spread) ** 2
    assert scaled == pytest.approx(covariance, rel=5e-3, abs=1e-4)


@settings(max_examples=25)
@given(st.floats(0.2, 3), st.floats(60, 120))
def test_with_known_surroundings_it_agrees_too(rate: float, excess: float) -> None:
    """Two free parameters, the cooler's air given."""
    degrees = [38 + excess * exp(-rate * h) + n for h, n in zip(HOURS, NOISE, strict=True)]
    ours = fit_cooling(HOURS, degrees, 38)
    assert ours is not None
    theirs, _ = scipy.optimize.curve_fit(
        lambda t, e, k: newton(t, e, k, 38), HOURS, degrees, p0=[excess, rate]
    )
    assert [ours.excess, ours.rate] == pytest.approx(theirs, rel=2e-4)


def test_exact_readings_give_the_curve_back() -> None:
    """Without noise the rate is found to many places, and the spread falls back to that of a probe."""
    ours = fit_cooling(HOURS, [38 + 97 * exp(-0.6 * h) for h in HOURS], 38)
    assert ours is not None
    assert (ours.rate, ours.excess) == pytest.approx((0.6, 97), rel=1e-6)
    assert ours.spread == 1
    assert ours.hours_at(70) == pytest.approx(1.848, abs=0.001)
    assert ours.hours_at(38) is None
    assert ours.deviation(0) > 0


@pytest.mark.parametrize(
    ("hours", "degrees", "around"),
    [
        ([0.0], [135.0], 38.0),
        ([0.0, 1.0], [135.0, 100.0], None),
        ([0.0, 1.0], [100.0, 100.0], 38.0),
        ([0.0, 0.0], [135.0, 100.0], 38.0),
        ([0.0, 1.0, 2.0], [135.0, 134.0, 100.0], None),
        ([0.0, 1.0], [60.0, 50.0], 80.0),
    ],
)
def test_no_fit_where_the_readings_carry_none(
    hours: list[float], degrees: list[float], around: float | None
) -> None:
    """Too few, not falling, bending the wrong way, or colder than what is around them."""
    assert fit_cooling(hours, degrees, around) is None


def test_a_fast_pan_is_likely_in_time() -> None:
    """Half an hour from 135F to 105F in a 38F cooler."""
    forecast = forecast_cooling(readings((0, 135), ("0.5", 105), (1, 84)), FDA, COOLER)
    assert forecast is not None
    assert (forecast.outlook, forecast.deadline_hours) == ("likely", 2)
    assert forecast.probability > 0.95
    assert forecast.expected_hours == pytest.approx(1.49, abs=0.02)


def test_a_slow_pot_is_unlikely_in_time() -> None:
    """Only 37 degrees in an hour and a half."""
    forecast = forecast_cooling(readings((0, 135), ("0.5", 120), (1, 108), ("1.5", 98)), FDA, COOLER)
    assert forecast is not None
    assert (forecast.outlook, forecast.probability) == ("unlikely", pytest.approx(0, abs=0.01))
    assert forecast.expected_hours is not None
    assert forecast.expected_hours > 2


def test_a_close_call_is_unsure() -> None:
    """72F expected at the deadline, give or take two: nobody knows."""
    forecast = forecast_cooling(readings((0, 135), ("0.5", 115), (1, 95)), FDA, COOLER)
    assert forecast is not None
    assert forecast.outlook == "unsure"


def test_the_second_stage_is_forecast_on_the_callers_clock() -> None:
    """Readings that begin at 14:00 are answered in hours of that clock."""
    forecast = forecast_cooling(readings((14, 135), (15, 95), (16, 68)), FDA, COOLER)
    assert forecast is not None
    assert (forecast.limit.value, forecast.deadline_hours) == (41, 20)
    assert forecast.expected_hours is not None
    assert forecast.expected_hours > 16


def test_surroundings_too_warm_never_get_there() -> None:
    """In 75F air no food comes down to 70F."""
    forecast = forecast_cooling(readings((0, 135), (1, 110)), FDA, Temperature(Decimal(75)))
    assert forecast is not None
    assert (forecast.outlook, forecast.expected_hours) == ("unlikely", None)


def test_celsius_readings_give_the_same_forecast() -> None:
    """The same pot in either unit."""
    f = forecast_cooling(readings((0, 140), (1, 95)), FDA, Temperature(Decimal(41)))
    in_c = [CoolingReading(Decimal(h), Temperature(Decimal(t), "C")) for h, t in ((0, 60), (1, 35))]
    assert forecast_cooling(in_c, FDA, Temperature(Decimal(5), "C")) == f


def test_no_forecast_without_a_next_limit_or_enough_readings() -> None:
    """Not started, cold already, or one reading only."""
    assert forecast_cooling(readings((0, 180)), FDA, COOLER) is None
    assert forecast_cooling(readings((0, 135), (1, 41)), FDA, COOLER) is None
    assert forecast_cooling(readings((0, 135)), FDA, COOLER) is None
