"""Cooking: laws that hold in every profile, and the cases that the check table does not print."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.rules.basis import Citation, Limit, Temperature, Verdict
from assistant.rules.consumer_chart import chart_kind, judge_by_chart
from assistant.rules.cook_special import (
    judge_microwave_cook,
)
from assistant.rules.cooking import cook_group, cook_target, group_target, judge_cook, judge_target
from assistant.rules.food_names import find_food
from assistant.rules.foods import Food, all_foods, unknown_food
from assistant.rules.profile import Profile, load_profile, profile_names
from assistant.rules.roasts import roast_rows

MODEL = load_profile("fda_2022")
profiles = st.sampled_from([load_profile(name) for name in profile_names()])
foods = st.sampled_from([*all_foods(), unknown_food("pan"), unknown_food("meat", raw_animal=True)])
tenths = st.decimals(90, 200, places=1)
seconds = st.decimals(0, 8000, places=0)


def food(name: str) -> Food:
    found = find_food(name)
    assert found is not None
    return found


@given(foods, profiles, tenths, tenths, seconds, seconds)
def test_hotter_and_longer_never_turns_pass_to_fail(
    one: Food, profile: Profile, cool: Decimal, hot: Decimal, short: Decimal, long: Decimal
) -> None:
    """Every profile, food and unit: a pass stays a pass when the reading is hotter and held longer."""
    cool, hot = sorted((cool, hot))
    short, long = sorted((short, long))
    if judge_cook(one, Temperature(cool), profile, short).passed:
        assert judge_cook(one, Temperature(hot), profile, long).passed


@given(foods, profiles, tenths, seconds)
def test_saying_no_time_never_passes_more(
    one: Food, profile: Profile, degrees: Decimal, held: Decimal
) -> None:
    """A quick reading passes only where any hold would, and never fails where some hold would pass."""
    quick = judge_cook(one, Temperature(degrees), profile)
    timed = judge_cook(one, Temperature(degrees), profile, held)
    assert not (quick.passed and not timed.passed)
    assert not (quick.verdict is Verdict.FAIL and timed.passed)


@given(foods, profiles)
def test_every_target_is_met_by_each_of_its_steps(one: Food, profile: Profile) -> None:
    """Reaching any listed way passes; a tenth of a degree less on the coldest way never does."""
    target = cook_target(one, profile)
    if target is None:
        return
    for step in target.steps:
        assert judge_target(target, step.temperature, step.hold_s).passed
    coldest = min((step.temperature for step in target.steps), key=lambda reading: reading.in_unit("F"))
    under = Temperature(coldest.value - Decimal("0.1"), coldest.unit)
    assert judge_target(target, under, Decimal(10**6)).verdict is Verdict.FAIL


@pytest.mark.parametrize("name", profile_names())
def test_unknown_raw_food_is_cooked_as_the_strictest(name: str) -> None:
    """What cooks meat of unknown kind cooks every raw animal food of the tables."""
    profile = load_profile(name)
    target = group_target("unknown", profile)
    for one in all_foods():
        if one.raw_animal:
            done = judge_cook(one, target.main.temperature, profile, max(target.main.hold_s, Decimal(240)))
            assert done.passed, one.name


@pytest.mark.parametrize(
    ("said", "celsius", "verdict"),
    [
        ("ground beef", "68", Verdict.FAIL),
        ("ground beef", "68.4", Verdict.PASS),
        ("raw chicken", "73.8", Verdict.FAIL),
        ("raw chicken", "74", Verdict.PASS),
    ],
)
def test_celsius_reading_against_a_fahrenheit_limit(said: str, celsius: str, verdict: Verdict) -> None:
    """The code's printed 68 C is 154.4 F: compared exactly in the unit of the limit, never rounded."""
    held = Decimal(17) if said == "ground beef" else Decimal(0)
    assert judge_cook(food(said), Temperature(Decimal(celsius), "C"), MODEL, held).verdict is verdict


@pytest.mark.parametrize(
    ("celsius", "held", "verdict"),
    [
        ("70", 120, Verdict.PASS),
        ("70", 119, Verdict.FAIL),
        ("75", 30, Verdict.PASS),
        ("69.9", 120, Verdict.FAIL),
    ],
)
def test_united_kingdom_core_temperatures(celsius: str, held: int, verdict: Verdict) -> None:
    """70 C for two minutes or an equivalent (United Kingdom guidance, from memory)."""
    judged = judge_cook(
        food("raw chicken"), Temperature(Decimal(celsius), "C"), load_profile("united_kingdom"), Decimal(held)
    )
    assert judged.verdict is verdict


def test_failed_reading_says_what_is_needed() -> None:
    """The reply can name the hold, and the temperature that needs none."""
    judged = judge_cook(food("ground beef"), Temperature(Decimal(155)), MODEL)
    assert judged.details == {
        "hold_s": Decimal(17),
        "group": "ground",
        "instant": Decimal(158),
        "hold_here_s": Decimal(17),
    }


def test_whole_roast_names_145_for_four_minutes_first() -> None:
    """145 F for a whole roast is four minutes, not fifteen seconds (FDA Food Code 3-401.11(B))."""
    target = cook_target(food("prime rib"), MODEL)
    assert target is not None
    assert (int(target.main.temperature.value), int(target.main.hold_s), len(target.steps)) == (145, 240, 17)
    assert target.instant is not None
    assert target.instant.temperature.value == 158


def test_no_instant_way_where_none_is_listed() -> None:
    """Under the 2013 code poultry needs its fifteen seconds at any temperature."""
    target = cook_target(food("raw chicken"), load_profile("fda_2013"))
    assert target is not None
    assert target.instant is None


def test_new_york_state_groups() -> None:
    """A pork roast is pork there, a beef roast meat; rare beef has its own figure, rare lamb has not."""
    state = load_profile("new_york_state")
    assert cook_group(food("pork roast"), state) == "pork"
    assert cook_group(food("beef roast"), state) == "meat"
    assert cook_group(food("lamb chop"), state, rare=True) == "meat"
    assert cook_group(food("ground beef"), state, rare=True) == "ground"


def test_ready_to_eat_and_makers_directions_have_no_figure() -> None:
    """Nothing is invented where the label or no rule decides."""
    assert cook_target(food("cheesecake"), MODEL) is None
    assert judge_cook(food("cheesecake"), Temperature(Decimal(40)), MODEL).reason == "needs_no_cooking"
    assert judge_cook(food("plant burger"), Temperature(Decimal(165)), MODEL).reason == "maker_directions"


def test_site_figure_with_its_source_drops_colder_alternatives() -> None:
    """A kitchen that asks 160 F for ground meat no longer accepts 145 F for three minutes."""
    own = Limit("cook_ground_min", Decimal(160), "F", Citation("house rule", "menu", flag="SITE"))
    site = MODEL.with_overrides([own])
    beef = food("ground beef")
    assert not judge_cook(beef, Temperature(Decimal(145)), site, Decimal(180)).passed
    assert judge_cook(beef, Temperature(Decimal(160)), site, Decimal(17)).passed


def test_assumed_figures_say_so() -> None:
    """Where the city's text was not read, the answer carries that."""
    judged = judge_cook(food("salmon"), Temperature(Decimal(140)), load_profile("new_york_city"))
    assert judged.details["assumed"] == "cook_fish_min"


@pytest.mark.parametrize(
    ("stand", "stirred", "reason"),
    [(None, True, "stand_unknown"), (Decimal(120), False, "not_stirred_or_covered")],
)
def test_microwave_needs_stirring_and_standing(stand: Decimal | None, stirred: bool, reason: str) -> None:
    """FDA Food Code 3-401.12."""
    judged = judge_microwave_cook(
        Temperature(Decimal(170)), MODEL, covered_stand_s=stand, stirred_and_covered=stirred
    )
    assert judged.reason == reason


@pytest.mark.parametrize(
    ("said", "kind"),
    [("fully cooked ham", "plant_packed_ham"), ("chili", "leftovers"), ("plant burger", "poultry")],
)
def test_consumer_chart_row(said: str, kind: str) -> None:
    """The chart's row for a food; what it does not list takes the hottest."""
    assert chart_kind(food(said)) == kind
    assert judge_by_chart(kind, Temperature(Decimal(165)), Decimal(0)).passed


def test_the_roast_table_follows_the_law_of_heat_killing() -> None:
    """Independent check: ten degrees more need a tenth of the time (z = 10 F), but for the print's rounding.

    The law is textbook thermal death time; rows of minutes are printed coarsely (a minute or 6 %), rows
    of seconds to about the second.
    """
    table = roast_rows()
    base = Decimal(table[0]["hold"])
    for row in table[:-1]:
        law = base * Decimal(10) ** ((Decimal(130) - Decimal(row["min"])) / 10)
        printed = Decimal(row["hold"])
        slack = max(Decimal(60), law * Decimal("0.06")) if printed >= 240 else Decimal(3)
        assert abs(printed - law) <= slack, row
    assert table[-1]["hold"] == "0"
