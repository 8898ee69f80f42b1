"""By when rounds are due: in time, late, overdue, missed, closed; the office gets them in the chain."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from assistant.logbook import Draft, Filter, Logbook, SetClock
from assistant.logbook.facts import facts_draft, facts_of, last_facts, site_of
from assistant.manager.app import build
from assistant.manager.desk import LocalDesk
from assistant.manager.round_times import dues_of
from assistant.site import Site, parse_site

TEXT = """
[kitchen]
name = "Two Cooler Kitchen"
closed_weekdays = ["monday"]
[[equipment]]
id = "walk-in"
name = "walk-in"
kind = "cold_holding"
[[equipment]]
id = "low-boy"
name = "low-boy"
kind = "cold_holding"
numbers = [1, 2]
[[rounds]]
id = "line check"
name = "line check"
places = ["walk-in", "low-boy 1"]
due = ["16:30", "10:30"]
"""
SUNDAY = datetime(2026, 3, 1, tzinfo=datetime.fromisoformat("2026-03-01T00:00-06:00").tzinfo)


@pytest.fixture
def kitchen() -> Site:
    """A kitchen with one round, due twice a day."""
    return parse_site(TEXT, "x")


@pytest.fixture
def log(tmp_path: Path) -> Iterator[Logbook]:
    """A log whose clock is set by hand of the test."""
    with Logbook.open(tmp_path / "log", site="Two Cooler Kitchen", clock=SetClock(SUNDAY)) as log:
        yield log


def read(log: Logbook, clock: str, *places: str) -> None:
    """Log readings of places at a time."""
    at = SUNDAY + timedelta(hours=int(clock[:2]), minutes=int(clock[3:]))
    assert isinstance(log.clock, SetClock)
    log.clock.time = at
    cold = {"kind": "reading", "measured": "air", "value": "38", "unit": "F", "verdict": "pass"}
    log.append([Draft.model_validate({**cold, "subject": each}) for each in places])


def told(log: Logbook, kitchen: Site, clock: str) -> list[str]:
    """Return the due times of Sunday as told at a time."""
    now = SUNDAY + timedelta(hours=int(clock[:2]), minutes=int(clock[3:]))
    lines = list(log.views.each(Filter.on(SUNDAY.date())))
    return [due.told for due in dues_of(lines, kitchen, SUNDAY.date(), now)]


def test_in_time_and_to_come(log: Logbook, kitchen: Site) -> None:
    """Read at ten; the afternoon's is still to come."""
    read(log, "10:00", "walk-in", "low-boy 1")
    assert told(log, kitchen, "12:00") == ["due by 10:30 am: done at 10:00 am", "due by 4:30 pm: to come"]


def test_late_belongs_to_the_nearer_time(log: Logbook, kitchen: Site) -> None:
    """Eleven twenty is nearer to 10:30 than to 16:30; it is late by more than half an hour."""
    read(log, "11:20", "walk-in", "low-boy 1")
    assert told(log, kitchen, "12:00")[0] == "due by 10:30 am: done late at 11:20 am"
    read(log, "15:00", "walk-in", "low-boy 1")
    assert told(log, kitchen, "16:00")[1] == "due by 4:30 pm: done at 3:00 pm"


def test_overdue_then_missed(log: Logbook, kitchen: Site) -> None:
    """One place of two was read: overdue after half an hour, then missed."""
    read(log, "10:00", "walk-in")
    assert told(log, kitchen, "10:55")[0] == "due by 10:30 am: to come"
    assert told(log, kitchen, "11:05")[0] == "due by 10:30 am: overdue"
    assert told(log, kitchen, "14:00")[0] == "due by 10:30 am: missed"
    next_day = dues_of([], kitchen, SUNDAY.date(), SUNDAY + timedelta(days=1, hours=1))
    assert [due.state for due in next_day] == ["missed", "missed"]


def test_a_closed_day_has_nothing_due_and_misses_nothing(log: Logbook, kitchen: Site) -> None:
    """2 March 2026 is a Monday (any calendar)."""
    read(log, "10:00", "walk-in")
    monday = SUNDAY + timedelta(days=1)
    assert dues_of([], kitchen, monday.date(), monday + timedelta(hours=20)) == ()
    assert isinstance(log.clock, SetClock)
    log.clock.time = monday + timedelta(days=1, hours=9)
    desk = LocalDesk(log.folder, kitchen, log.clock)
    page = TestClient(build(desk, log.folder), base_url="http://127.0.0.1")
    text = page.get(f"/?day={monday.date()}").text
    assert "By its set-up the kitchen is closed on this day." in text
    assert "missed" not in text
    sunday = page.get(f"/?day={SUNDAY.date()}").text
    assert "due by 10:30 am: missed" in sunday
    assert "left: low-boy 1" in sunday


def test_the_chain_carries_places_and_rounds(log: Logbook, kitchen: Site) -> None:
    """What the office reads back is what the kitchen has; no person's name is in it; nonsense is none."""
    log.append(facts_draft(kitchen, "as sent"))
    sent = site_of(last_facts(log.views), "Two Cooler Kitchen")
    assert sent is not None
    assert sent.rounds == kitchen.rounds
    assert sent.spoken_name("low-boy 2") == "low-boy 2"
    assert sent.kitchen.closed_weekdays == ("monday",)
    assert facts_of(sent) == facts_of(kitchen)
    assert site_of("[]", "x") is None
    assert site_of('{"rounds": 3}', "x") is None


def test_a_reading_is_that_of_one_round(log: Logbook, kitchen: Site) -> None:
    """Opening and close have the same places: a reading in the afternoon is not both, nor is a trial."""
    text = TEXT.replace('["16:30", "10:30"]', '["06:30"]')
    close = '[[rounds]]\nid = "close"\nname = "close"\nplaces = ["walk-in", "low-boy 1"]\ndue = ["22:00"]\n'
    both = parse_site(text + close, "x")
    read(log, "15:45", "walk-in", "low-boy 1")
    assert told(log, both, "23:00") == ["due by 6:30 am: overdue", "due by 10:00 pm: done at 3:45 pm"]
    log.append(Draft(kind="round", subject="line check", note="begun"))
    read(log, "16:00", "walk-in", "low-boy 1")
    assert told(log, both, "23:00")[0] == "due by 6:30 am: done late at 4:00 pm"
    assert isinstance(log.clock, SetClock)
    log.clock.by_hand = True
    read(log, "06:20", "walk-in", "low-boy 1")
    assert told(log, both, "23:00")[0] == "due by 6:30 am: done late at 4:00 pm"
