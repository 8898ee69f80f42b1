"""Times to the moment against dateparser (PyPI), for the forms that it reads.

Where we deviate on purpose: it reads no spoken clock ("ten to two", "half past two", "quarter of three")
and no "half an hour ago"; those have tables of their own. A day alone is a whole day to us, to it the
present time of that day (or midnight). A weekday's name on that weekday is today or a week ago to us, and
in doubt. "half twelve" is half past twelve, as in Britain, not half an hour before it, as in German.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import dateparser
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from intents.quantities import Clock, Day, Moment, Tense, quantities, resolve
from intents.words import tokenise

MOMENTS = st.datetimes(datetime(2025, 1, 1), datetime(2027, 12, 31)).map(lambda t: t.replace(microsecond=0))
WEEKDAYS = "monday tuesday wednesday thursday friday saturday sunday".split()
MONTHS = "january february march april may june july august september october november december".split()
MONTHS_ES = "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre".split()


def theirs(said: str, now: datetime, tense: str = "past", code: str = "en") -> datetime:
    """Return what the reference reads."""
    settings = {"RELATIVE_BASE": now, "PREFER_DATES_FROM": tense}
    found = dateparser.parse(said, languages=[code], settings=settings)  # type: ignore[arg-type]
    assert found is not None, said
    return found


def ours(said: str, now: datetime, tense: Tense = "past", code: str = "en") -> list[datetime]:
    """Return our candidates, without their zone."""
    (quantity,) = quantities(tokenise(said), code)
    told = next(m for m in quantity.meanings if isinstance(m, Clock | Moment | Day))
    found = resolve(told, now.replace(tzinfo=UTC), tense)
    return [c.at.replace(tzinfo=None) for c in found.candidates]


@given(MOMENTS, st.integers(2, 99), st.sampled_from(["minutes", "hours", "seconds", "weeks"]))
def test_ago(now: datetime, count: int, unit: str) -> None:
    said = f"{count} {unit} ago"
    assert ours(said, now) == [theirs(said, now)]


@given(MOMENTS, st.integers(2, 99), st.sampled_from(["minutos", "horas", "segundos", "semanas"]))
def test_ago_in_spanish(now: datetime, count: int, unit: str) -> None:
    said = f"hace {count} {unit}"
    assert ours(said, now, code="es") == [theirs(said, now, code="es")]


@given(MOMENTS, st.integers(2, 20), st.integers(2, 59))
def test_hours_and_minutes_ago(now: datetime, hours: int, minutes: int) -> None:
    said = f"{hours} hours {minutes} minutes ago"
    assert ours(said, now) == [theirs(said, now)]


@given(MOMENTS, st.integers(2, 99), st.sampled_from(["minutes", "hours"]))
def test_to_come(now: datetime, count: int, unit: str) -> None:
    said = f"in {count} {unit}"
    assert ours(said, now, "future") == [theirs(said, now, "future")]


@given(MOMENTS, st.integers(1, 12), st.integers(0, 59), st.sampled_from(["am", "pm"]))
def test_yesterday_at(now: datetime, hour: int, minute: int, half: str) -> None:
    said = f"yesterday at {hour}:{minute:02d} {half}"
    assert ours(said, now) == [theirs(said, now)]


@given(MOMENTS, st.integers(13, 23), st.integers(0, 59))
def test_a_known_clock_time_that_was(now: datetime, hour: int, minute: int) -> None:
    """Not on the first of a month, where dateparser 1.5.0 goes back to a wrong month's end."""
    said = f"{hour}:{minute:02d}"
    assume(now.day > 1)
    assume((now.hour, now.minute) != (hour, minute))
    assert ours(said, now) == [theirs(said, now)]


@given(MOMENTS, st.integers(0, 6))
def test_a_weekday_that_was(now: datetime, weekday: int) -> None:
    assume(now.weekday() != weekday)
    assert ours(WEEKDAYS[weekday], now) == [theirs(WEEKDAYS[weekday], now)]


@given(MOMENTS, st.dates(date(2024, 1, 1), date(2024, 12, 31)))
def test_a_day_of_a_month_that_was(now: datetime, day: date) -> None:
    assume((day.month, day.day) != (2, 29))
    assume((now.month, now.day) != (day.month, day.day))
    said = f"{MONTHS[day.month - 1]} {day.day}"
    assert ours(said, now) == [theirs(said, now)]
    said = f"{day.day} de {MONTHS_ES[day.month - 1]}"
    assert ours(said, now, code="es") == [theirs(said, now, code="es")]


@pytest.mark.parametrize("said", ["ten to two", "half past two", "quarter of three", "half an hour ago"])
def test_what_the_reference_does_not_read(said: str) -> None:
    """If this fails, the reference has learned a form: check us against it there, too."""
    now = datetime(2026, 3, 12, 14, 50)
    assert dateparser.parse(said, languages=["en"], settings={"RELATIVE_BASE": now}) is None
    assert ours(said, now)[0] <= now
    assert ours(said, now)[0] > now - timedelta(days=1)
