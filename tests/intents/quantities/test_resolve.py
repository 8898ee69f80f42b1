"""From a time said to the moments it can be: worked examples by hand, and what holds of any time."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intents.quantities import Clock, Day, Moment, Resolved, Tense, quantities, resolve
from intents.words import tokenise

CHICAGO = ZoneInfo("America/Chicago")
NOW = datetime(2026, 3, 12, 14, 50, tzinfo=CHICAGO)  # a Thursday
EVENTS = {"open": time(6), "close": time(22)}
TENSES: tuple[Tense, ...] = ("past", "future", "either")


Told = Clock | Moment | Day


def told(said: str) -> Told:
    """Return the likeliest time of a sentence."""
    every = (m for q in quantities(tokenise(said), "en") for m in q.meanings)
    return next(m for m in every if isinstance(m, Told))


def shown(found: Resolved) -> str:
    """Return the candidates as month-day and time, with the end behind a dash, and a mark for doubt."""
    moments = [
        f"{c.at:%m-%d %H:%M}" + (f"-{c.until:%m-%d %H:%M}" if c.until else "") for c in found.candidates
    ]
    return ", ".join(moments) + (" ?" if found.doubt else "")


@pytest.mark.parametrize(
    ("said", "tense", "moments"),
    [
        ("at two thirty", "past", "03-12 14:30, 03-12 02:30"),
        ("at ten to two", "past", "03-12 13:50, 03-12 01:50"),
        ("at three", "past", "03-12 03:00, 03-11 15:00 ?"),
        ("at three", "future", "03-12 15:00, 03-13 03:00"),
        ("at three", "either", "03-12 15:00, 03-12 03:00, 03-13 03:00, 03-11 15:00"),
        ("at eight pm", "past", "03-11 20:00"),
        ("at eight pm", "future", "03-12 20:00"),
        ("twenty past", "past", "03-12 14:20"),
        ("ten to", "past", "03-12 14:50"),
        ("quarter to", "past", "03-12 14:45"),
        ("quarter to", "future", "03-12 15:45"),
        ("noon", "past", "03-12 12:00"),
        ("midnight", "past", "03-12 00:00"),
        ("midnight", "future", "03-13 00:00"),
        ("half twelve", "past", "03-12 12:30, 03-12 00:30"),
        ("14:50", "past", "03-12 14:50"),
        ("14:51", "past", "03-11 14:51"),
        ("an hour and a half ago", "past", "03-12 13:20"),
        ("twenty minutes ago", "past", "03-12 14:30"),
        ("ninety seconds ago", "past", "03-12 14:48"),
        ("in twenty minutes", "future", "03-12 15:10"),
        ("in twenty minutes", "past", ""),
        ("just now", "past", "03-12 14:50"),
        ("this morning at six", "past", "03-12 06:00"),
        ("at six this morning", "past", "03-12 06:00"),
        ("this evening at six", "past", ""),
        ("tonight at eight", "future", "03-12 20:00"),
        ("yesterday noon", "past", "03-11 12:00"),
        ("yesterday at two thirty", "past", "03-11 14:30, 03-11 02:30 ?"),
        ("last night at eleven", "past", "03-11 23:00"),
        ("last night at one", "past", "03-12 01:00"),
        ("last night", "past", "03-11 18:00-03-12 04:00"),
        ("yesterday", "past", "03-11 00:00-03-12 00:00"),
        ("today", "past", "03-12 00:00-03-13 00:00"),
        ("tomorrow", "past", ""),
        ("tomorrow", "future", "03-13 00:00-03-14 00:00"),
        ("tomorrow at noon", "past", ""),
        ("tuesday", "past", "03-10 00:00-03-11 00:00"),
        ("tuesday", "future", "03-17 00:00-03-18 00:00"),
        ("thursday", "past", "03-12 00:00-03-13 00:00, 03-05 00:00-03-06 00:00 ?"),
        ("last tuesday", "past", "03-10 00:00-03-11 00:00, 03-03 00:00-03-04 00:00 ?"),
        ("last friday", "past", "03-06 00:00-03-07 00:00"),
        ("tuesday at four pm", "past", "03-10 16:00"),
        ("the fifth", "past", "03-05 00:00-03-06 00:00"),
        ("the twenty-third", "past", "02-23 00:00-02-24 00:00"),
        ("the twenty-third", "future", "03-23 00:00-03-24 00:00"),
        ("november twenty-third", "past", "11-23 00:00-11-24 00:00"),
        ("since open", "past", "03-12 06:00"),
        ("at close", "past", "03-11 22:00"),
        ("yesterday at close", "past", "03-11 22:00"),
        ("an hour before close", "future", "03-12 21:00"),
        ("thirty minutes after open", "past", "03-12 06:30"),
        ("two hours after noon", "past", "03-12 14:00"),
        ("three hours after noon", "past", "03-11 15:00"),
    ],
)
def test_worked_examples(said: str, tense: Tense, moments: str) -> None:
    """Thursday, 12 March 2026, ten to three in the afternoon."""
    assert shown(resolve(told(said), NOW, tense, EVENTS)) == moments


def test_a_part_of_the_day_alone_is_the_latest_that_began() -> None:
    assert shown(resolve(Day(part="morning"), NOW)) == "03-12 00:00-03-12 12:00, 03-11 00:00-03-11 12:00"
    assert shown(resolve(Day(part="morning"), NOW, "future")) == "03-13 00:00-03-13 12:00"


def test_tonight_after_midnight_began_yesterday_or_comes() -> None:
    late = NOW.replace(hour=1, minute=30)
    assert shown(resolve(told("tonight at eleven"), late)) == "03-11 23:00"


def test_an_event_that_nobody_timed_is_asked_for() -> None:
    assert resolve(told("since open"), NOW) == Resolved(needs="open")


def test_later_counts_from_the_time_spoken_of_before() -> None:
    noon = NOW.replace(hour=12, minute=0)
    assert shown(resolve(told("two hours later"), NOW, "past", then=noon)) == "03-12 14:00"
    assert resolve(told("two hours later"), NOW) == Resolved(needs="then")


def test_a_time_without_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="time zone"):
        resolve(Clock((2, 14), 30), datetime(2026, 3, 12, 14, 50))


def test_november_is_of_the_year_that_was() -> None:
    found = resolve(told("november twenty-third"), NOW).best
    assert found is not None
    assert found.at.date().isoformat() == "2025-11-23"


def test_spring_has_no_half_past_two() -> None:
    """8 March 2026: clocks in Chicago go from 2:00 to 3:00 (IANA time zone database)."""
    morning = datetime(2026, 3, 8, 9, 0, tzinfo=CHICAGO)
    assert shown(resolve(Clock((2,), 30, True), morning)) == ""
    assert shown(resolve(told("seven hours ago"), morning)) == "03-08 01:00"


def test_autumn_has_two_half_past_ones() -> None:
    """1 November 2026: clocks in Chicago go from 2:00 to 1:00 (IANA time zone database)."""
    morning = datetime(2026, 11, 1, 9, 0, tzinfo=CHICAGO)
    found = resolve(Clock((1,), 30, True), morning)
    assert [c.at.astimezone(UTC).hour for c in found.candidates] == [7, 6]


MOMENTS = st.datetimes(
    datetime(2025, 1, 1),
    datetime(2027, 12, 31),
    timezones=st.sampled_from([UTC, CHICAGO, ZoneInfo("Europe/Madrid")]),
)
PARTS = st.sampled_from(["", "morning", "afternoon", "evening", "night"])
CLOCKS = st.builds(
    lambda hour, minute, opened: Clock((hour % 12, hour % 12 + 12) if opened else (hour,), minute),
    st.integers(0, 23),
    st.integers(0, 59),
    st.booleans(),
)
DAYS = st.builds(Day, offset=st.integers(-3, 3), part=PARTS) | st.builds(
    Day, weekday=st.integers(0, 6), which=st.sampled_from(["", "last", "this", "next"]), part=PARTS
)
TOLD = (
    CLOCKS
    | DAYS
    | st.builds(Moment, day=DAYS | st.none(), clock=CLOCKS, offset=st.integers(-90, 90).map(Fraction))
)


@given(TOLD, MOMENTS)
def test_nothing_to_come_is_told_of_the_past(what: Told, now: datetime) -> None:
    assert all(c.at.astimezone(UTC) <= now.astimezone(UTC) for c in resolve(what, now, "past").candidates)


@given(TOLD, MOMENTS)
def test_nothing_past_is_told_of_what_is_to_come(what: Told, now: datetime) -> None:
    for each in resolve(what, now, "future").candidates:
        assert (each.until or each.at).astimezone(UTC) >= now.astimezone(UTC)


@given(TOLD, MOMENTS, st.sampled_from(TENSES))
def test_moments_are_different_and_doubt_needs_two(what: Told, now: datetime, tense: Tense) -> None:
    found = resolve(what, now, tense)
    utc = [(c.at.astimezone(UTC), c.until) for c in found.candidates]
    assert len(set(utc)) == len(utc)
    assert not found.doubt or len(utc) > 1


@given(CLOCKS, MOMENTS)
def test_a_clock_time_of_the_past_is_the_latest_that_shows_it(clock: Clock, now: datetime) -> None:
    """Against a walk back minute by minute."""
    found = resolve(clock, now).best
    minute = now.astimezone(UTC).replace(second=0, microsecond=0)
    walked = (minute - timedelta(minutes=k) for k in range(24 * 60))
    fits = (
        t
        for t in walked
        if (local := t.astimezone(now.tzinfo)).hour in clock.hours and local.minute == clock.minute
    )
    first = next(fits, None)
    assert first is None or (found is not None and found.at.astimezone(UTC) == first)
