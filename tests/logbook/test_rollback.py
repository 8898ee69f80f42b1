"""A log that loses entries while a program works with it: the program notices and the chain says so."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from assistant.errors import LogWriteError
from assistant.logbook import Draft, Logbook
from assistant.logbook.anchors import read_anchors
from assistant.logbook.care import Care, load_care, save_care
from assistant.logbook.database import FILE_NAME
from assistant.logbook.verify import verify

NOTE = Draft(kind="note", subject="note", words="as it was")


@pytest.fixture
def earlier(log: Logbook, tmp_path: Path) -> Path:
    """A copy of the log's file with two entries, taken before a third was logged."""
    log.append([NOTE, NOTE])
    copy = tmp_path / "earlier.sqlite3"
    log.database.copy_to(copy)
    log.append(Draft(kind="reading", subject="walk-in", value="45", unit="F", verdict="fail"))
    return copy


@pytest.mark.parametrize("way", [shutil.copy, shutil.move])
def test_a_rollback_while_running_is_marked(log: Logbook, earlier: Path, way: object) -> None:
    """Whether the older file is copied over the newer one or put in its place."""
    way(earlier, log.folder / FILE_NAME)  # type: ignore[operator]
    (entry,) = log.append(NOTE)
    mark = log.views.line(3)
    assert entry.id == 4
    assert mark is not None
    assert mark.entry.kind == "rollback"
    first = verify(log.folder).first
    assert first is not None
    assert "the log was set back: it had 3 entries" in first.text


def test_a_log_moved_away_is_not_written_to_unseen(log: Logbook, tmp_path: Path) -> None:
    """An open file can be written to although nobody finds it any more."""
    log.append(NOTE)
    (log.folder / FILE_NAME).rename(tmp_path / "aside.sqlite3")
    with pytest.raises(LogWriteError, match="is gone"):
        log.append(NOTE)


def test_heads_are_noted_at_a_second_place(log: Logbook, tmp_path: Path, earlier: Path) -> None:
    """With them a rollback shows also where no program was running."""
    save_care(log.folder, Care(heads_to=str(tmp_path / "elsewhere" / "heads.txt")))
    with Logbook.open(log.folder, site="Pine Street", clock=log.clock) as again:
        again.append(NOTE)
        assert [head.count for head in read_anchors(tmp_path / "elsewhere" / "heads.txt")] == [4]
    log.close()
    shutil.copy(earlier, log.folder / FILE_NAME)
    assert verify(log.folder).ok
    first = verify(log.folder, load_care(log.folder).heads()).first
    assert first is not None
    assert "was cut" in first.text


def test_a_second_place_out_of_reach_stops_nothing(log: Logbook, tmp_path: Path) -> None:
    """The stick was pulled out."""
    (tmp_path / "file").write_text("")
    save_care(log.folder, Care(heads_to=str(tmp_path / "file" / "heads.txt")))
    with Logbook.open(log.folder, site="Pine Street", clock=log.clock) as again:
        assert again.append(NOTE)[0].id == 1


def test_what_the_log_does_not_give_back_is_not_logged(log: Logbook, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is called logged that cannot be read again."""
    put = log.database.put_entries

    def turned(rows: list[tuple[str, int, str, str, bytes]]) -> None:
        put([(*row[:4], row[4].replace(b"as it was", b"otherwise")) for row in rows])

    monkeypatch.setattr(log.database, "put_entries", turned)
    with pytest.raises(LogWriteError, match="did not give back entry 1"):
        log.append(NOTE)
    monkeypatch.undo()
    assert log.views.head().count == 0
