"""Cold, hot and frozen holding."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.rules.basis import Temperature, Verdict
from assistant.rules.holding import (
    judge_cold_holding,
    judge_frozen,
    judge_hot_holding,
)
from assistant.rules.profile import Profile, load_profile, profile_names

FDA, UK = load_profile(), load_profile("united_kingdom")
profiles = st.sampled_from([load_profile(name) for name in profile_names()])
celsius = st.decimals(min_value=-30, max_value=100, places=1)


@given(celsius, celsius, profiles)
def test_warmer_is_never_better_cold_nor_worse_hot(one: Decimal, other: Decimal, profile: Profile) -> None:
    """Verdicts are monotone in the reading."""
    cold, warm = (Temperature(value, "C") for value in sorted((one, other)))
    assert judge_cold_holding(cold, profile).passed >= judge_cold_holding(warm, profile).passed
    assert judge_hot_holding(cold, profile).passed <= judge_hot_holding(warm, profile).passed
    order = [Verdict.FAIL, Verdict.CANNOT_JUDGE, Verdict.PASS]
    frozen = [order.index(judge_frozen(reading, profile).verdict) for reading in (cold, warm)]
    assert frozen[0] >= frozen[1]


@given(celsius, profiles)
def test_fahrenheit_and_celsius_agree_about_the_same_food(value: Decimal, profile: Profile) -> None:
    """The same temperature in either unit gets the same judgement."""
    in_c, in_f = Temperature(value, "C"), Temperature(value * 9 / 5 + 32)
    assert judge_cold_holding(in_c, profile) == judge_cold_holding(in_f, profile)
    assert judge_hot_holding(in_c, profile) == judge_hot_holding(in_f, profile)
    assert judge_frozen(in_c, profile) == judge_frozen(in_f, profile)


def test_warm_air_asks_to_probe_a_food() -> None:
    """Air is only a sign; the air around shell eggs is the rule itself."""
    air = judge_cold_holding(Temperature(Decimal(44)), FDA, medium="air")
    assert (air.reason, air.action) == ("air_too_warm", "probe_food")
    assert judge_cold_holding(Temperature(Decimal(38)), FDA, medium="air").passed
    assert judge_cold_holding(Temperature(Decimal(44)), FDA, "shell_eggs", "air").passed
    assert judge_cold_holding(Temperature(Decimal(46)), FDA, "shell_eggs", "air").action == "ask_since_when"


def test_the_united_kingdom_is_judged_in_celsius() -> None:
    """8C cold and 63C hot, compared in Celsius."""
    assert judge_cold_holding(Temperature(Decimal(8), "C"), UK).passed
    assert not judge_cold_holding(Temperature(Decimal("8.1"), "C"), UK).passed
    assert judge_hot_holding(Temperature(Decimal(63), "C"), UK).passed
    assert not judge_hot_holding(Temperature(Decimal(61), "C"), UK).passed


@pytest.mark.parametrize(
    ("degrees", "solid", "reason"),
    [
        (-4, None, "in_range"),
        (0, None, "in_range"),
        (10, None, "warmer_than_usual"),
        (10, True, "frozen_but_warm_air"),
        (10, False, "not_frozen"),
        (33, True, "not_frozen"),
    ],
)
def test_frozen_food_stays_frozen(degrees: int, solid: bool | None, reason: str) -> None:
    """3-501.11; zero degrees is practice, so between it and melting the food decides."""
    assert judge_frozen(Temperature(Decimal(degrees)), FDA, frozen_solid=solid).reason == reason
