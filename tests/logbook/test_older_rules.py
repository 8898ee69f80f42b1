"""A log whose open actions an older version told apart by coarser rules: neither tampered with nor left so.

By the first rules a passing reading of the same thing closed an action wherever it was taken, and a discard
closed none; today a recheck counts where the food was or went, and a discard settles it.
"""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from assistant.door import kitchen, options_first
from assistant.errors import InputError, LogWriteError
from assistant.logbook import Draft, Logbook, SetClock, open_views, renew, scratch, store
from assistant.logbook.backup import backup, restore
from assistant.logbook.database import FILE_NAME, VERSION, Database
from assistant.logbook.verify import verify

FAILED = Draft(
    kind="reading", subject="chili", item="chili", measured="food", place="reach-in", verdict="fail"
)
OPENED = Draft(kind="action_opened", subject="chili", measured="food", refers_to=-1, note="chill")
ELSEWHERE = FAILED.model_copy(update={"verdict": "pass", "place": "walk-in"})
OF_GRAVY = {"subject": "gravy", "item": "gravy"}


@pytest.fixture
def older(tmp_path: Path, clock: SetClock) -> Path:
    """The chili was read again in another place (2), the gravy thrown out (5); as version 1 left them."""
    folder = tmp_path / "older"
    with Logbook.open(folder, site="Pine Street", clock=clock) as log:
        log.append([FAILED, OPENED])
        log.append(ELSEWHERE)
        log.append([FAILED.model_copy(update=OF_GRAVY), OPENED.model_copy(update=OF_GRAVY)])
        log.append(Draft(kind="discard", **OF_GRAVY))  # type: ignore[arg-type]
        assert [line.entry.id for line in log.views.open_actions()] == [2]
    altered(
        folder, "UPDATE standing SET open = 0, closed_by = 3 WHERE id = 2",
        "UPDATE standing SET open = 1, closed_by = NULL WHERE id = 5", "PRAGMA user_version = 1",
    )  # fmt: skip
    return folder


def altered(folder: Path, *steps: str) -> None:
    """Run statements on the file, past the program."""
    with closing(sqlite3.connect(folder / FILE_NAME, isolation_level=None)) as raw:
        for step in steps:
            raw.execute(step)


def content(folder: Path) -> list[tuple[Any, ...]]:
    """The entries, byte by byte."""
    with closing(sqlite3.connect(folder / FILE_NAME)) as raw:
        return raw.execute("SELECT * FROM entries ORDER BY id").fetchall()


def test_it_is_not_called_tampered(older: Path) -> None:
    """What stands otherwise is named, by check and command; the exit code is that of a sound log."""
    report = verify(older)
    assert (report.faults, report.by_older_rules) == ((), (2, 5))
    told = CliRunner().invoke(kitchen, options_first(["--state", str(older), "log", "verify"]))
    assert told.exit_code == 0, told.output
    assert "made by an older version" in told.output
    assert "2, 5" in told.output


def test_opening_it_makes_the_list_anew(older: Path, clock: SetClock) -> None:
    """By today's rules, and not one entry is touched."""
    before, head = content(older), verify(older).head
    with Logbook.open(older, site="Pine Street", clock=clock) as log:
        assert [line.entry.id for line in log.views.open_actions()] == [2]
    assert content(older) == before
    report = verify(older, [head])
    assert (report.faults, report.by_older_rules, report.head) == ((), (), head)


def test_reading_it_is_enough(older: Path) -> None:
    """The page and the report read only, and must not show what older rules said."""
    with open_views(older) as views:
        assert [line.entry.id for line in views.open_actions()] == [2]


def test_how_far_it_is_is_told(older: Path, clock: SetClock, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every few entries, never back, to the end; and nothing where nothing is made anew."""
    monkeypatch.setattr(renew, "_CHUNK", 2)
    monkeypatch.setattr(scratch, "_CHUNK", 2)
    told: list[tuple[int, int]] = []
    with Logbook.open(older, site="Pine Street", clock=clock, progress=lambda *each: told.append(each)):
        pass
    assert {steps for _, steps in told} == {12}
    done = [each for each, _ in told]
    assert done == sorted(done)
    assert set(done) >= {2, 4, 6, 8, 10, 12}
    told.clear()
    with open_views(older, progress=lambda *each: told.append(each)):
        assert not told


def test_one_that_cannot_be_written_is_read_as_it_is(older: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A stick that is read only: better an older list than none."""

    def read_only(path: Path, *, writable: bool, progress: renew.Progress | None = None) -> Database:
        if writable:
            raise LogWriteError("read only")
        return Database(path, writable=False)

    monkeypatch.setattr(store, "Database", read_only)
    with open_views(older) as views:
        assert [line.entry.id for line in views.open_actions()] == [5]


@pytest.mark.parametrize(
    "step",
    [
        "UPDATE standing SET verdict = 'pass' WHERE id = 1",
        "UPDATE standing SET withdrawn = 1 WHERE id = 2",
        "UPDATE standing SET day = '2026-01-01' WHERE id = 5",
        "DELETE FROM standing WHERE id = 2",
    ],
)
def test_what_no_rule_ever_decided_is_tampering_in_it_too(older: Path, step: str) -> None:
    """Only what is open, and by what it was closed, may differ by rules."""
    altered(older, step)
    assert not verify(older).ok


def test_a_log_of_today_is_held_to_todays_rules(older: Path, clock: SetClock) -> None:
    """The same differences in a log of this version are faults."""
    altered(older, f"PRAGMA user_version = {VERSION}")
    first = verify(older).first
    assert first is not None
    assert first.entry == 2


def test_a_version_set_back_hides_nothing(older: Path, clock: SetClock) -> None:
    """A running program stops writing and says why; whoever opens the log next sees the action again."""
    with Logbook.open(older, site="Pine Street", clock=clock) as log:
        altered(older, "UPDATE standing SET open = 0, closed_by = 3 WHERE id = 2", "PRAGMA user_version = 1")
        with pytest.raises(InputError, match="version was set back"):
            log.append(Draft(kind="note", subject="note"))
    assert verify(older).by_older_rules == (2,)
    with open_views(older) as views:
        assert [line.entry.id for line in views.open_actions()] == [2]


def test_a_damaged_one_opens_and_says_what_is_damaged(older: Path, clock: SetClock) -> None:
    """An entry made unreadable stops neither the cook who logs nor the check."""
    altered(
        older, "DROP TRIGGER entries_no_update", "UPDATE entries SET body = CAST('{}' AS BLOB) WHERE id = 3"
    )
    from assistant.logbook.scripts import statements

    altered(older, next(each for each in statements("schema.sql") if "entries_no_update" in each))
    with Logbook.open(older, site="Pine Street", clock=clock) as log:
        log.append(Draft(kind="note", subject="note"))
    first = verify(older).first
    assert first is not None
    assert first.entry == 3


def test_its_backup_is_whole_and_comes_back(older: Path, tmp_path: Path, clock: SetClock) -> None:
    """Backups of an older version can be restored, and are brought up to date when they are opened."""
    assert backup(older, tmp_path / "copy", clock.now()).ok
    shutil.rmtree(older)
    restore(tmp_path / "copy", older)
    with open_views(older) as views:
        assert [line.entry.id for line in views.open_actions()] == [2]
