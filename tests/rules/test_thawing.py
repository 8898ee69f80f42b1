"""Thawing: the running-water clock, the sink, and plans back from a time. FDA Food Code 3-501.13, USDA."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.rules.basis import Temperature, Verdict
from assistant.rules.food_names import find_food
from assistant.rules.foods import Food, unknown_food
from assistant.rules.profile import Profile, load_profile, profile_names
from assistant.rules.thaw_times import (
    check_water_estimate,
    cold_water_hours,
    days_after_thawing,
    plan_cooler_thaw,
    turkey_cooler_days,
    turkey_water_hours,
)
from assistant.rules.thawing import (
    Method,
    judge_method,
    judge_running_water,
    sink_between,
    water_minutes_left,
)

MODEL = load_profile("fda_2022")
COLD_WATER = Temperature(Decimal(65))
profiles = st.sampled_from([load_profile(name) for name in profile_names()])
minutes = st.decimals(0, 400, places=0)
NOON = datetime(2026, 3, 5, 12, 0)


def food(name: str) -> Food:
    found = find_food(name)
    assert found is not None
    return found


@given(profiles, st.decimals(33, 120, places=1), st.decimals(33, 120, places=1), minutes, minutes)
def test_warmer_or_longer_never_improves(
    profile: Profile, a: Decimal, b: Decimal, first: Decimal, second: Decimal
) -> None:
    """A thaw that fails stays failed in warmer water or after more minutes."""
    cool, warm = sorted((a, b))
    short, long = sorted((first, second))
    if judge_running_water(Temperature(warm), profile, water_minutes=long).passed:
        assert judge_running_water(Temperature(cool), profile, water_minutes=short).passed


@given(profiles, minutes, minutes)
def test_minutes_left_run_out_exactly_at_the_limit(profile: Profile, used: Decimal, other: Decimal) -> None:
    """Using up what is left passes, one minute more fails."""
    left = water_minutes_left(profile, used, other)
    cold = Temperature(Decimal(60))
    at_end = judge_running_water(cold, profile, water_minutes=used + left, other_minutes_over_cold=other)
    after = judge_running_water(cold, profile, water_minutes=used + left + 1, other_minutes_over_cold=other)
    assert after.verdict is Verdict.FAIL
    assert at_end.passed or left == 0


def test_water_and_preparation_count_together() -> None:
    """Three hours in the water and one at the board are the four; California gives two in all."""
    assert water_minutes_left(MODEL, Decimal(180), Decimal(40)) == 20
    assert water_minutes_left(load_profile("california"), Decimal(100)) == 20


def test_missing_readings_are_asked_for() -> None:
    """No water temperature, or none of ready-to-eat food: nothing is judged."""
    assert judge_running_water(None, MODEL).action == "probe_water"
    assert judge_running_water(COLD_WATER, MODEL, ready_to_eat=True).action == "probe_food"


@pytest.mark.parametrize(
    ("method", "verdict", "action"),
    [
        (Method.COUNTER, Verdict.FAIL, "use_cooler"),
        (Method.STANDING_WATER, Verdict.FAIL, "run_the_water"),
        (Method.HAND_SINK, Verdict.FAIL, "use_food_sink"),
        (Method.MICROWAVE, Verdict.CANNOT_JUDGE, "cook_at_once"),
        (Method.COOK_FROZEN, Verdict.PASS, ""),
        (Method.COOLER, Verdict.PASS, ""),
    ],
)
def test_ways_of_thawing(method: Method, verdict: Verdict, action: str) -> None:
    """What is not on the code's list is refused."""
    judged = judge_method(method)
    assert (judged.verdict, judged.action) == (verdict, action)


def test_one_portion_has_to_be_ready_to_eat() -> None:
    """A slice of cheesecake for one order may stand out, a chicken breast may not."""
    assert judge_method(Method.ONE_PORTION, food("cheesecake")).passed
    assert judge_method(Method.ONE_PORTION, food("raw chicken")).reason == "only_ready_to_eat_portion"


@pytest.mark.parametrize(
    ("last", "following", "passes"),
    [
        ("pork chop", "pork ribs", True),
        ("pork chop", "beef steak", False),
        ("raw chicken", "ground turkey", False),
        ("ground beef", "beef steak", False),
        ("raw chicken", "cooked rice", False),
    ],
)
def test_sink_between_foods(last: str, following: str, passes: bool) -> None:
    """Only the same kind of raw food follows without cleaning (one kind at a time: common practice)."""
    judged = sink_between(food(last), food(following))
    assert (judged.passed, judged.action) == (passes, "" if passes else "clean_and_sanitize")


def test_sink_of_unknown_history_is_cleaned() -> None:
    """Nobody knows what was in it, or what goes in: clean; once sanitized it is ready."""
    assert not sink_between(None, food("pork chop")).passed
    assert not sink_between(unknown_food("pan"), unknown_food("pan")).passed
    assert sink_between(None, food("pork chop"), sanitized_since=True).passed


def test_plan_for_a_whole_turkey() -> None:
    """USDA table: 18 lb takes four to five days, and keeps one to two once thawed."""
    plan = plan_cooler_thaw(NOON, Decimal(18), food("whole turkey"))
    assert plan.start_by == NOON - timedelta(days=5)
    assert plan.not_before == NOON - timedelta(days=6)


def test_plan_for_a_small_roast_is_a_day_at_least() -> None:
    """Two pounds of pork roast: a full day, and three to five days to use it."""
    plan = plan_cooler_thaw(NOON, Decimal(2), food("pork roast"))
    assert plan.start_by == NOON - timedelta(days=1)
    assert plan.keeps.low == 3


def test_turkey_outside_the_table_goes_by_the_pound() -> None:
    """Below 4 lb and above 24 lb the estimate by weight stands in."""
    assert turkey_cooler_days(Decimal(30)).high == Fraction(15, 2)
    assert turkey_water_hours(Decimal(30)).high == 15
    assert turkey_cooler_days(Decimal(3)).low == Fraction(3, 5)
    assert turkey_water_hours(Decimal(3)).low == Fraction(3, 2)


def test_short_water_thaw_stays_within_the_code() -> None:
    """Six pounds take three hours: inside four, but past California's two."""
    assert check_water_estimate(cold_water_hours(Decimal(6)), MODEL).passed
    assert not check_water_estimate(cold_water_hours(Decimal(6)), load_profile("california")).passed


def test_unsure_kinds_keep_the_shorter_time() -> None:
    """Stuffed or unknown food: one to two days."""
    assert days_after_thawing(unknown_food("meat", raw_animal=True)).high == 2
