"""A wrong or jumping clock: order stays, suspicion is marked, the jump is an entry of its own."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from assistant.logbook import Draft, Entry, Logbook, SetClock, SystemClock
from assistant.logbook.clock import SteadyClock

NOTE = Draft(kind="note", subject="note")


class Machine(SetClock):
    """A clock with a steady counter: ``passes`` moves both, ``move`` sets the time alone."""

    counted = 1000.0

    def elapsed(self) -> float:
        """Seconds that nobody can set."""
        return self.counted

    def passes(self, **parts: float) -> None:
        """Time really passes."""
        self.move(**parts)
        self.counted += timedelta(**parts).total_seconds()


@pytest.fixture
def machine() -> Machine:
    """A machine at work in March."""
    return Machine(datetime(2026, 3, 2, 14, 30, tzinfo=UTC))


@pytest.fixture
def log(tmp_path: Path, machine: Machine) -> Iterator[Logbook]:
    """A log with one entry."""
    with Logbook.open(tmp_path, clock=machine) as opened:
        opened.append(NOTE)
        yield opened


def stored(log: Logbook) -> list[Entry]:
    """All entries after the first."""
    return list(log.views.entries(2))


def test_time_that_passes_is_not_suspect(log: Logbook, machine: Machine) -> None:
    """An hour later by both counts."""
    machine.passes(hours=1)
    (entry,) = log.append(NOTE)
    assert not entry.clock_suspect
    assert len(stored(log)) == 1


def test_a_clock_set_back_is_marked_and_noted(log: Logbook, machine: Machine) -> None:
    """The entry of the jump comes first, in the same turn."""
    machine.move(hours=-3)
    (entry,) = log.append(NOTE)
    change, _ = stored(log)
    assert (change.kind, entry.kind, entry.clock_suspect) == ("clock_change", "note", True)
    assert "went back from 2026-03-02T14:30:00.000000Z to 2026-03-02T11:30:00.000000Z" in change.note


def test_entries_stay_suspect_until_the_time_is_passed_again(log: Logbook, machine: Machine) -> None:
    """One note of the jump, then marks, then trust again."""
    machine.move(hours=-1)
    log.append(NOTE)
    machine.passes(minutes=30)
    log.append(NOTE)
    machine.passes(minutes=31)
    log.append(NOTE)
    assert [(each.kind, each.clock_suspect) for each in stored(log)] == [
        ("clock_change", True), ("note", True), ("note", True), ("note", False),
    ]  # fmt: skip


def test_a_clock_set_forward_is_seen_by_the_steady_counter(log: Logbook, machine: Machine) -> None:
    """Half an hour on the wall, none on the counter."""
    machine.move(minutes=30)
    log.append(NOTE)
    assert [each.kind for each in stored(log)] == ["clock_change", "note"]
    assert "was set from" in stored(log)[0].note


def test_a_wrong_far_future_does_not_make_all_later_entries_suspect(log: Logbook, machine: Machine) -> None:
    """A minute in 2099 and back again: both jumps are noted, then all is well."""
    there = machine.time
    machine.move(days=27000)
    log.append(NOTE)
    machine.time = there + timedelta(minutes=1)
    log.append(NOTE)
    machine.passes(minutes=1)
    (entry,) = log.append(NOTE)
    assert not entry.clock_suspect
    assert [each.kind for each in stored(log)].count("clock_change") == 2


def test_a_small_step_back_keeps_the_time_of_the_last_entry(log: Logbook, machine: Machine) -> None:
    """A time server's trim of a second is no jump."""
    machine.move(seconds=-1)
    (entry,) = log.append(NOTE)
    assert (entry.at_utc, entry.clock_suspect) == ("2026-03-02T14:30:00.000000Z", False)


def test_a_jump_while_the_program_was_off_is_seen(tmp_path: Path) -> None:
    """Back in time over a restart, with a clock that counts nothing."""
    clock = SetClock(datetime(2026, 3, 2, 9, tzinfo=UTC))
    for hours in (0, -2):
        clock.move(hours=hours)
        with Logbook.open(tmp_path, clock=clock) as log:
            (entry,) = log.append(NOTE)
    assert (entry.id, entry.clock_suspect) == (3, True)


@pytest.mark.parametrize(("days", "kinds"), [(20, ["note"]), (45, ["clock_change", "note"])])
def test_a_very_long_gap_is_noted(tmp_path: Path, days: int, kinds: list[str]) -> None:
    """Closed for the season, or a clock far ahead: the log cannot know, so it says so."""
    clock = SetClock(datetime(2026, 3, 2, 9, tzinfo=UTC))
    with Logbook.open(tmp_path, clock=clock) as log:
        log.append(NOTE)
        clock.move(days=days)
        log.append(NOTE)
        assert [each.kind for each in stored(log)] == kinds


def test_a_machine_without_a_battery_starts_suspect(tmp_path: Path) -> None:
    """It thinks that it is 1970."""
    with Logbook.open(tmp_path, clock=SetClock(datetime(1970, 1, 1, 0, 1))) as log:
        (entry,) = log.append(NOTE)
        assert (entry.id, entry.clock_suspect) == (2, True)


def test_a_late_entry_counts_for_the_day_it_speaks_of(log: Logbook) -> None:
    """Said to be of ten to midnight, entered in the morning; marked late."""
    late = Draft(kind="note", subject="note", said_at="2026-03-01T23:50:00+00:00", late=True)
    (entry,) = log.append(late)
    line = log.views.line(entry.id)
    assert line is not None
    assert (line.day, line.entry.late) == ("2026-03-01", True)


def test_the_day_is_the_kitchens_own(tmp_path: Path, clock: SetClock) -> None:
    """Ten in the evening five hours behind UTC is tomorrow there, also when said in UTC."""
    clock.move(hours=12.5)
    with Logbook.open(tmp_path, clock=clock) as log:
        log.append([NOTE, NOTE.model_copy(update={"said_at": "2026-03-03T02:58:00Z"})])
        assert [line.day for line in log.lines()] == ["2026-03-02", "2026-03-02"]


def test_the_machines_own_clock_is_steady() -> None:
    """It knows its offset and counts on."""
    clock = SystemClock()
    assert isinstance(clock, SteadyClock)
    assert clock.now().utcoffset() is not None
    assert clock.elapsed() <= clock.elapsed()
