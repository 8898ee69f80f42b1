"""Two-stage cooling: what the readings prove, what they leave open, and laws that no reading breaks."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.rules.basis import Judgement, Temperature, Verdict
from assistant.rules.cooling import judge_cooling, next_limit
from assistant.rules.cooling_curve import CoolingReading, hours_between
from assistant.rules.profile import Profile, load_profile, profile_names

FDA = load_profile()
NEW_YORK = load_profile("new_york_state")
ORDER = [Verdict.FAIL, Verdict.CANNOT_JUDGE, Verdict.PASS]
TOTAL_CLOCK = [
    load_profile(name)
    for name in profile_names()
    if load_profile(name).value("cooling_stage_two_hours_max") >= 6
]
"""Profiles whose second stage runs on the clock of the first. Where it has a clock of its own, reaching
70F later gives a later deadline: the law below does not hold for the rule itself."""


def readings(*pairs: tuple[object, object]) -> list[CoolingReading]:
    return [CoolingReading(Decimal(str(h)), Temperature(Decimal(str(t)))) for h, t in pairs]


def rank(judgement: Judgement) -> int:
    return ORDER.index(judgement.verdict)


@st.composite
def series(draw: st.DrawFn, least: int = 1) -> list[CoolingReading]:
    """Up to seven readings at different times, falling or not, 34 to 200 degrees Fahrenheit."""
    times = draw(st.lists(st.integers(0, 40), min_size=least, max_size=7, unique=True))
    heats = draw(st.lists(st.integers(34, 200), min_size=len(times), max_size=len(times)))
    return readings(*((Decimal(t) / 4, heat) for t, heat in zip(sorted(times), heats, strict=True)))


@given(series(), st.data(), st.sampled_from(TOTAL_CLOCK))
def test_a_warmer_reading_never_improves_the_verdict(
    taken: list[CoolingReading], data: st.DataObject, profile: Profile
) -> None:
    """Once the clock runs, a warmer reading (still below the start) never makes the verdict better."""
    start = profile.value("cooling_start")
    running = [index for index, reading in enumerate(taken) if reading.temperature.value < start]
    assume(running)
    index = data.draw(st.sampled_from(running))
    old = taken[index]
    warmer = data.draw(st.integers(int(old.temperature.value), int(start) - 1))
    changed = [*taken]
    changed[index] = CoolingReading(old.hours, Temperature(Decimal(warmer)))
    assert rank(judge_cooling(changed, profile)) <= rank(judge_cooling(taken, profile))


@given(series(3), st.data(), st.sampled_from(TOTAL_CLOCK))
def test_a_later_reading_never_turns_into_a_pass(
    taken: list[CoolingReading], data: st.DataObject, profile: Profile
) -> None:
    """The same reading taken later never passes where it did not before, nor makes the verdict better.

    The reading that first shows the clock running may reopen a question, because the start may then have
    been later too; a first reading that is the clock itself is left alone.
    """
    start = profile.value("cooling_start")
    below = [index for index, reading in enumerate(taken) if reading.temperature.value < start]
    movable = [index for index in below if index > 0]
    assume(movable)
    index = data.draw(st.sampled_from(movable))
    following = taken[index + 1].hours if index + 1 < len(taken) else taken[index].hours + 8
    later = data.draw(st.decimals(taken[index].hours, following, places=2))
    assume(later < following)
    changed = [*taken]
    changed[index] = CoolingReading(later, taken[index].temperature)
    before, after = (judge_cooling(each, profile, Decimal(60)) for each in (taken, changed))
    if index == below[0]:
        assert before.passed or not after.passed
    else:
        assert rank(after) <= rank(before)


@given(series(), st.sampled_from([load_profile(name) for name in profile_names()]))
def test_celsius_and_fahrenheit_agree_about_the_same_pot(
    taken: list[CoolingReading], profile: Profile
) -> None:
    """Readings on whole steps of nine degrees Fahrenheit are whole steps of five degrees Celsius."""
    steps = [(reading.hours, (reading.temperature.value - 32) // 9) for reading in taken]
    in_f = [CoolingReading(hours, Temperature(32 + 9 * step)) for hours, step in steps]
    in_c = [CoolingReading(hours, Temperature(5 * step, "C")) for hours, step in steps]
    assert judge_cooling(in_c, profile) == judge_cooling(in_f, profile)


def test_readings_may_come_in_any_order_and_twice() -> None:
    """Of two readings at one time the warmer counts."""
    assert judge_cooling(readings((6, 41), (0, 135), (2, 70)), FDA).passed
    assert not judge_cooling(readings((0, 135), (2, 70), (2, 75), (6, 41)), FDA).passed
    assert not judge_cooling(readings((0, 135), (2, 75), (2, 70), (6, 41)), FDA).passed


def test_while_it_cools_the_time_left_is_told() -> None:
    """One hour in, sixty minutes are left to reach 70F."""
    judged = judge_cooling(readings((0, 135), (1, 95)), FDA)
    assert (judged.reason, judged.action) == ("cooling", "keep_cooling")
    assert judged.details["minutes_left"] == 60
    assert judged.details["next_temperature"] == 70


def test_past_seventy_the_rest_of_six_hours_is_left() -> None:
    """Reached 70F in one hour: five hours are left (published chili example)."""
    judged = judge_cooling(readings((0, 135), (1, 70)), FDA)
    assert (judged.details["minutes_left"], judged.details["next_temperature"]) == (300, 41)


def test_above_the_start_nothing_runs_yet() -> None:
    """180F an hour after the burner went off: the clock has not started; at 135F it has."""
    assert judge_cooling(readings((0, 180), (1, 150)), FDA).reason == "not_started"
    assert judge_cooling(readings((0, 180), (1, 135)), FDA).details["minutes_left"] == 120


def test_first_seen_below_the_start_the_clock_is_said_to_be_a_guess() -> None:
    """Nobody knows how long it had been cooling."""
    assert judge_cooling(readings((0, 120), (1, 80)), FDA).details["clock"] == "first_reading"


def test_a_gap_that_hides_the_limit_asks() -> None:
    """100F at one hour and 65F at three: 70F may have come in time, the line says it did not."""
    judged = judge_cooling(readings((0, 135), (1, 100), (3, 65)), FDA)
    assert (judged.verdict, judged.reason, judged.action) == (
        Verdict.CANNOT_JUDGE,
        "gap_hides_limit",
        "ask_reading",
    )
    assert judged.details["without_answer"] == "reheat_or_discard"


def test_an_old_reading_asks_for_a_new_one() -> None:
    """Last read at one hour, now three: take a reading."""
    assert judge_cooling(readings((0, 135), (1, 90)), FDA, Decimal(3)).reason == "gap_hides_limit"


def test_a_start_between_two_readings_asks_when() -> None:
    """Off the stove at 200F, 130F an hour later, 70F at two and a half: when did it pass 135F?"""
    judged = judge_cooling(readings((0, 200), (1, 130), ("2.5", 70), (5, 41)), FDA)
    assert (judged.reason, judged.action) == ("start_unsure", "ask_when_start")


def test_a_start_between_two_readings_cannot_save_a_clear_miss() -> None:
    """Even on the latest possible clock four hours are too long."""
    judged = judge_cooling(readings((0, 200), (1, 130), (4, 90)), FDA)
    assert judged.reason == "stage_one_too_long"


def test_the_line_counts_as_proof_because_food_cools_below_it() -> None:
    """120F at one hour and 45F at two: the line crosses 70F in time."""
    assert judge_cooling(readings((0, 135), (1, 120), (2, 45), (3, 41)), FDA).passed


def test_a_second_miss_is_discarded() -> None:
    """Reheating is allowed once, and only while the time out is short."""
    miss = readings((0, 135), (2, 95))
    assert judge_cooling(miss, FDA).action == "reheat_or_discard"
    assert judge_cooling(miss, FDA, reheated_before=True).action == "discard"
    assert judge_cooling(miss, FDA, Decimal(5)).action == "discard"


def test_a_clear_miss_of_the_end_outweighs_an_open_question() -> None:
    """Eight hours later still at 60F: discard, whatever happened at two hours."""
    judged = judge_cooling(readings((0, 135), (1, 100), (8, 60)), FDA)
    assert (judged.reason, judged.action) == ("stage_two_too_long", "discard")


def test_warming_up_again_counts_from_the_last_time_it_was_cold() -> None:
    """70F in time but 90F at three hours is no 70F in two hours."""
    assert judge_cooling(readings((0, 135), (2, 70), (3, 90), (5, 41)), FDA).reason == "stage_one_too_long"


def test_new_york_gives_four_hours_from_seventy() -> None:
    """10 NYCRR 14-1.40(b): the second clock starts at 70F."""
    assert judge_cooling(readings((0, 120), (2, 70)), NEW_YORK).details["minutes_left"] == 240
    assert judge_cooling(readings((0, 120), (1, 70)), NEW_YORK).details["minutes_left"] == 240


def test_the_next_limit_follows_the_readings() -> None:
    """First 70F by two hours, then 41F by six, then nothing; nothing either before the start."""
    assert next_limit(readings((0, 180)), FDA) is None
    first = next_limit(readings((0, 135), (1, 100)), FDA)
    second = next_limit(readings((0, 135), (1, 70)), FDA)
    assert first is not None
    assert second is not None
    assert [(first[0].value, first[1]), (second[0].value, second[1])] == [(70, 2), (41, 6)]
    assert next_limit(readings((0, 135), (1, 70), (3, 40)), FDA) is None


def test_nonsense_is_refused() -> None:
    """No readings, or a present before the last one."""
    with pytest.raises(ValueError, match="at least one reading"):
        judge_cooling([], FDA)
    with pytest.raises(ValueError, match="cannot be earlier"):
        judge_cooling(readings((0, 135), (2, 70)), FDA, Decimal(1))


def test_food_cold_from_the_first_reading_is_cold() -> None:
    """A reading of 40F alone is below every limit."""
    assert judge_cooling(readings((0, 40)), FDA).passed


def test_clock_times_become_exact_hours() -> None:
    """Twenty minutes are a third of an hour, across a change of the clocks too."""
    noon = datetime(2026, 3, 7, 12)
    assert hours_between(noon, datetime(2026, 3, 7, 12, 20)) == Fraction(1, 3)
    zone = ZoneInfo("America/New_York")
    before, after = datetime(2026, 3, 8, 1, tzinfo=zone), datetime(2026, 3, 8, 4, tzinfo=zone)
    assert hours_between(before, after) == 2
    thirds = [(Fraction(0), 135), (Fraction(2, 3), 100), (Fraction(2), 70), (Fraction(6), 41)]
    taken = [CoolingReading(hours, Temperature(Decimal(degrees))) for hours, degrees in thirds]
    assert judge_cooling(taken, FDA, Fraction(19, 3)).passed
