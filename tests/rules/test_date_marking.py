"""Date marks: day 1, freezing, warm holding, rescue and exemptions."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.rules.basis import Temperature
from assistant.rules.date_marking import (
    days_left_after_freezing,
    judge_day,
    last_day,
    last_day_after_freezing,
)
from assistant.rules.profile import load_profile

FDA, WASHINGTON = load_profile(), load_profile("washington")
dates = st.dates(date(2024, 1, 1), date(2030, 12, 31))


@given(dates, st.lists(dates, max_size=4), st.one_of(st.none(), dates))
def test_nothing_makes_food_last_longer(made: date, ingredients: list[date], use_by: date | None) -> None:
    """Older ingredients and a maker's date only ever shorten seven days."""
    last = last_day(made, FDA, ingredients=ingredients, maker_use_by=use_by)
    assert last <= made + timedelta(days=6)
    assert all(last <= other + timedelta(days=6) for other in ingredients)
    assert use_by is None or last <= use_by


@given(st.integers(0, 10), dates)
def test_freezing_pauses_the_count(used: int, thawed: date) -> None:
    """The day of thawing is the next day of seven; never more days than were left."""
    left = days_left_after_freezing(used, FDA)
    last = last_day_after_freezing(used, thawed, FDA)
    assert left == max(7 - used, 0)
    assert last == thawed + timedelta(days=6 - used)


def test_frozen_on_day_three_leaves_four() -> None:
    """Three days used, four left, counting the day it is pulled."""
    assert days_left_after_freezing(3, FDA) == 4
    with pytest.raises(ValueError, match="cannot be negative"):
        last_day_after_freezing(-1, date(2026, 1, 1), FDA)


def test_warm_holding_shortens_the_days() -> None:
    """Four days up to 45F by an older local rule; warmer is a holding fault first."""
    at = Temperature(Decimal(44))
    york = load_profile("new_york_state")
    assert last_day(date(2026, 5, 1), york, held_at=at) == date(2026, 5, 4)
    assert judge_day(5, york, held_at=at).reason == "over_date"
    assert judge_day(2, york, held_at=Temperature(Decimal(46))).action == "ask_since_when"


def test_washington_may_rescue_late_food_but_not_for_susceptible_guests() -> None:
    """WAC 246-215-03527: reheated to 165F; elsewhere late food is discarded."""
    assert judge_day(8, WASHINGTON, reheat_to_165=True).reason == "late_reheated"
    assert judge_day(8, WASHINGTON).action == "discard"
    assert judge_day(8, WASHINGTON, reheat_to_165=True, susceptible_guests=True).action == "discard"
    assert judge_day(8, FDA, reheat_to_165=True).action == "discard"


def test_day_zero_does_not_exist() -> None:
    """The day made is day 1."""
    with pytest.raises(ValueError, match="day 1"):
        judge_day(0, FDA)
