"""What the page's banner and the doctor say of the log."""

from __future__ import annotations

import sqlite3
from collections import namedtuple
from contextlib import closing
from pathlib import Path

import pytest

from assistant.logbook import Draft, Logbook, SetClock, health
from assistant.logbook.database import FILE_NAME

Usage = namedtuple("Usage", "total used free")


def test_a_healthy_log_has_nothing_to_say(log: Logbook, passed: Draft) -> None:
    """And looking does not write."""
    log.append(passed)
    before = (log.folder / FILE_NAME).read_bytes()
    found = health.health(log.folder)
    assert found.troubles == ()
    assert found.sqlite_version == sqlite3.sqlite_version
    assert (log.folder / FILE_NAME).read_bytes() == before


def test_a_log_that_is_not_there_yet_is_no_trouble(tmp_path: Path) -> None:
    """The folder is made with the first entry."""
    assert health.health(tmp_path / "not" / "yet").troubles == ()
    assert not (tmp_path / "not").exists()


@pytest.mark.parametrize(("free", "troubles", "warnings"), [(1000, 1, 0), (50 * 2**20, 0, 1), (2**40, 0, 0)])
def test_too_little_space_is_said(
    log: Logbook, monkeypatch: pytest.MonkeyPatch, free: int, troubles: int, warnings: int
) -> None:
    """Full is a trouble, low a warning."""
    monkeypatch.setattr(health.shutil, "disk_usage", lambda path: Usage(2**41, 2**41 - free, free))
    found = health.health(log.folder)
    assert (len(found.troubles), len(found.warnings), found.free_bytes) == (troubles, warnings, free)


def test_a_log_held_by_another_program_is_said(log: Logbook) -> None:
    """It tries the lock for two seconds."""
    with closing(sqlite3.connect(log.folder / FILE_NAME, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert "another program holds the log" in health.health(log.folder).troubles[0]


def test_a_damaged_log_is_said(tmp_path: Path) -> None:
    """In the words of the error itself."""
    (tmp_path / FILE_NAME).write_bytes(b"nonsense" * 1000)
    assert "damaged or no log" in health.health(tmp_path).troubles[0]


def test_missing_guards_and_a_doubtful_clock_are_said(log: Logbook, clock: SetClock, passed: Draft) -> None:
    """Both at once."""
    log.append(passed)
    clock.move(days=-400)
    log.append(passed)
    log.database.rows("DROP TRIGGER entries_no_update")
    guards, doubt = health.health(log.folder).troubles
    assert "entries_no_update" in guards
    assert "date and time" in doubt


def test_a_network_disk_is_recognised(tmp_path: Path) -> None:
    """From the system's own list of mounts; written here after proc(5)."""
    mounts = tmp_path / "mountinfo"
    mounts.write_text(
        "36 35 98:0 / / rw,noatime shared:1 - ext4 /dev/root rw\n"
        f"37 35 0:40 / {tmp_path.resolve()} rw - nfs4 server:/share rw\n"
    )
    assert health.file_system(tmp_path / "state", mounts) == "nfs4"
    assert health.file_system(Path("/"), mounts) == "ext4"
    assert health.file_system(Path("/"), tmp_path / "none") == ""
