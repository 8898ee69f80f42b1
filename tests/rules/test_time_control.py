"""Time as the control, and four-hour sums."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.rules.basis import Temperature, Verdict
from assistant.rules.profile import load_profile, profile_names
from assistant.rules.time_control import (
    Plan,
    TimeHold,
    discard_time,
    judge_time_hold,
    judge_time_out,
)

FDA = load_profile()
COLD, HOT = Temperature(Decimal(41)), Temperature(Decimal(135))
hours = st.decimals(min_value=0, max_value=12, places=1)
plans: st.SearchStrategy[Plan] = st.sampled_from(["four_hours", "six_hours"])


@given(hours, hours, plans, st.integers(30, 180), st.integers(30, 180), st.sampled_from(profile_names()))
def test_more_hours_or_more_heat_never_help(
    one: Decimal, other: Decimal, plan: Plan, start: int, peak: int, name: str
) -> None:
    """The verdict never improves with time, nor with a warmer peak."""
    profile = load_profile(name)
    first, later = sorted((one, other))
    begun, warmest = Temperature(Decimal(start)), Temperature(Decimal(max(start, peak)))

    def passed(hours: Decimal, peak: Temperature) -> bool:
        return judge_time_hold(TimeHold(plan, begun, hours, peak), profile).passed

    assert passed(first, begun) >= passed(later, begun) >= passed(later, warmest)


@given(st.lists(hours, max_size=5), hours)
def test_another_spell_out_never_helps(spells: list[Decimal], more: Decimal) -> None:
    """The four-hour sum only grows."""
    assert judge_time_out(spells, FDA).passed >= judge_time_out([*spells, more], FDA).passed


def test_an_unknown_spell_means_discard() -> None:
    """Unknown time out of temperature is too long."""
    assert judge_time_out([Decimal(1), None], FDA).action == "discard"


def test_a_sum_tells_what_is_left() -> None:
    """Prep, line and prep again come to three and a half hours; half an hour is left, then nothing."""
    spells = [Decimal(1), Decimal(2), Decimal("0.5")]
    assert judge_time_out(spells, FDA).details["hours_left"] == Decimal("0.5")
    assert judge_time_out([*spells, Decimal(1)], FDA).action == "discard"
    with pytest.raises(ValueError, match="cannot be negative"):
        judge_time_out([Decimal(-1)], FDA)


@pytest.mark.parametrize(
    ("hold", "reason", "action"),
    [
        (TimeHold("four_hours", None, Decimal(1)), "start_temperature_unknown", "ask_start"),
        (TimeHold("four_hours", COLD, None), "time_unknown", "discard"),
        (
            TimeHold("four_hours", Temperature(Decimal(60)), Decimal(1)),
            "start_out_of_range",
            "ask_since_when",
        ),
        (TimeHold("six_hours", HOT, Decimal(1)), "plan_for_cold_food_only", "use_short_plan"),
        (TimeHold("six_hours", HOT, None), "plan_for_cold_food_only", "discard"),
        (TimeHold("six_hours", COLD, Decimal(3)), "peak_unknown", "ask_reading"),
        (
            TimeHold("four_hours", COLD, Decimal(1), Temperature(Decimal(75)), fresh=True),
            "too_warm",
            "discard",
        ),
    ],
)
def test_what_is_wrong_with_a_hold(hold: TimeHold, reason: str, action: str) -> None:
    """Each missing or wrong fact has its own answer."""
    judged = judge_time_hold(hold, FDA)
    assert (judged.reason, judged.action) == (reason, action)
    assert not judged.passed


def test_california_has_no_six_hour_plan() -> None:
    """Within four hours the short plan still holds."""
    judged = judge_time_hold(TimeHold("six_hours", COLD, Decimal(3)), load_profile("california"))
    assert (judged.verdict, judged.reason, judged.action) == (
        Verdict.FAIL,
        "plan_not_allowed",
        "use_short_plan",
    )


def test_new_york_city_wants_a_reading_at_four_hours() -> None:
    """The six-hour plan passes with that reminder."""
    hold = TimeHold("six_hours", COLD, Decimal(3), COLD)
    assert judge_time_hold(hold, load_profile("new_york_city")).details["reading_at_hours"] == 4
    assert "reading_at_hours" not in judge_time_hold(hold, FDA).details


def test_the_time_to_write_on_the_pan() -> None:
    """Off the heat at 18:30, out by 22:30; in the United Kingdom hot food by 20:30."""
    start, hold = datetime(2026, 5, 1, 18, 30), TimeHold("four_hours", HOT, Decimal(0))
    assert discard_time(start, hold, FDA) == datetime(2026, 5, 1, 22, 30)
    warm = TimeHold("four_hours", Temperature(Decimal(65), "C"), Decimal(0))
    assert discard_time(start, warm, load_profile("united_kingdom")) == datetime(2026, 5, 1, 20, 30)


def test_a_change_of_the_clocks_does_not_lengthen_the_hours() -> None:
    """Four hours from one in the morning when the clocks go forward end at six."""
    start = datetime(2026, 3, 8, 1, tzinfo=ZoneInfo("America/New_York"))
    gone = discard_time(start, TimeHold("four_hours", HOT, Decimal(0)), FDA)
    assert (gone.hour, gone.tzinfo) == (6, start.tzinfo)
