"""Backup and restore check what they made; retention leaves a note that verify understands."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from assistant.errors import InputError
from assistant.logbook import Draft, Head, Logbook, SetClock, open_views
from assistant.logbook.anchors import read_anchors
from assistant.logbook.backup import ANCHORS_NAME, backup, restore
from assistant.logbook.database import FILE_NAME
from assistant.logbook.retention import cutoff, remove_clips, remove_entries
from assistant.logbook.verify import verify


@pytest.fixture
def month(log: Logbook, clock: SetClock, passed: Draft) -> Logbook:
    """A reading with its clip on each of thirty days."""
    for number in range(30):
        clip = log.keep_clip(np.full(300, number, np.int16), 16000)
        log.append(passed.model_copy(update={"clip": clip}))
        clock.move(days=1)
    clock.move(days=-1)
    return log


def files(folder: Path) -> list[str]:
    """All files below a folder."""
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())


def test_a_backup_is_a_whole_log(month: Logbook, tmp_path: Path) -> None:
    """Made beside the open log; entries and clips are all there and check out."""
    report = backup(month.folder, tmp_path / "stick", month.clock.now())
    assert (report.ok, report.head, report.clips) == (True, month.views.head(), 30)
    assert verify(tmp_path / "stick", read_anchors(tmp_path / "stick" / ANCHORS_NAME)).ok


def test_a_second_backup_adds_to_the_first(month: Logbook, tmp_path: Path, passed: Draft) -> None:
    """Both heads are kept beside it."""
    backup(month.folder, tmp_path / "stick", month.clock.now())
    month.append(passed)
    backup(month.folder, tmp_path / "stick", month.clock.now())
    assert [head.count for head in read_anchors(tmp_path / "stick" / ANCHORS_NAME)] == [30, 31]


def test_a_log_that_was_made_anew_does_not_replace_its_backup(
    month: Logbook, tmp_path: Path, clock: SetClock, passed: Draft
) -> None:
    """The earlier backup holds another history: it is kept, and this is said."""
    backup(month.folder, tmp_path / "stick", month.clock.now())
    with Logbook.open(tmp_path / "forged", site="Pine Street", clock=clock) as forged:
        forged.append([passed] * 40)
    with pytest.raises(InputError, match="is not the one whose head was noted"):
        backup(tmp_path / "forged", tmp_path / "stick", clock.now())
    with open_views(tmp_path / "stick") as views:
        assert views.head() == month.views.head()


def test_a_damaged_clip_stops_the_backup(month: Logbook, tmp_path: Path) -> None:
    """What is not whole is not taken for a backup, and no part of a file is left."""
    next(month.clips_folder.rglob("*.flac")).write_bytes(b"fLaC")
    with pytest.raises(InputError, match="is not whole, so it was not copied"):
        backup(month.folder, tmp_path / "stick", month.clock.now())
    assert not [name for name in files(tmp_path / "stick") if name.endswith((".part", ".sqlite3"))]


def test_a_restored_log_goes_on(month: Logbook, tmp_path: Path, clock: SetClock, passed: Draft) -> None:
    """New machine, same chain."""
    backup(month.folder, tmp_path / "stick", month.clock.now())
    report = restore(tmp_path / "stick", tmp_path / "new")
    assert report.head == month.views.head()
    with Logbook.open(tmp_path / "new", site="Pine Street", clock=clock) as log:
        assert log.append(passed)[0].previous_hash == report.head.hash
    assert verify(tmp_path / "new", [report.head]).ok


def test_a_restore_never_overwrites(month: Logbook, tmp_path: Path) -> None:
    """The log that is there may be the better one."""
    backup(month.folder, tmp_path / "stick", month.clock.now())
    with pytest.raises(InputError, match="already"):
        restore(tmp_path / "stick", month.folder)


def test_an_altered_backup_is_not_restored(month: Logbook, tmp_path: Path) -> None:
    """Cut shorter than the head beside it says."""
    backup(month.folder, tmp_path / "stick", month.clock.now())
    (tmp_path / "stick" / FILE_NAME).unlink()
    with Logbook.open(tmp_path / "short", clock=month.clock) as short:
        short.append(Draft(kind="note", subject="note"))
    (tmp_path / "short" / FILE_NAME).rename(tmp_path / "stick" / FILE_NAME)
    with pytest.raises(InputError, match="the backup"):
        restore(tmp_path / "stick", tmp_path / "new")
    assert not (tmp_path / "new" / FILE_NAME).exists()


def test_a_backup_into_the_log_itself_is_refused(month: Logbook) -> None:
    """That would be no backup."""
    with pytest.raises(InputError, match="folder of its own"):
        backup(month.folder, month.folder, month.clock.now())


def test_old_clips_go_with_a_note_and_the_log_stays_whole(month: Logbook) -> None:
    """Ten days kept: the newest day and the ten before it."""
    assert remove_clips(month, 10) == 19
    assert len(files(month.clips_folder)) == 11
    note = next(month.views.entries(31))
    assert (note.kind, note.subject, note.item, note.value) == ("retention", "clips", "2026-03-21", "19")
    assert verify(month.folder).ok


def test_nothing_old_makes_no_note(month: Logbook) -> None:
    """Nothing to remove, nothing to say."""
    assert remove_clips(month, 90) == 0
    assert month.views.head().count == 30


def test_a_clip_that_no_rule_covers_is_still_missed(month: Logbook) -> None:
    """The note covers old days only."""
    remove_clips(month, 10)
    newest = sorted(month.clips_folder.rglob("*.flac"))[-1]
    newest.unlink()
    first = verify(month.folder).first
    assert first is not None
    assert (first.entry, "missing" in first.text) == (30, True)


def test_old_entries_go_with_a_note_and_the_rest_verifies(month: Logbook, passed: Draft) -> None:
    """The chain goes on from the hash that the note holds."""
    before = month.views.head()
    assert remove_entries(month, 10) == 19
    assert [entry.id for entry in month.views.entries()] == [*range(20, 32)]
    month.append(passed)
    report = verify(month.folder, [before])
    assert (report.ok, report.removed_by_rule) == (True, 19)
    assert remove_entries(month, 10) == 0


def test_a_head_of_what_was_removed_is_held_against_the_note(month: Logbook) -> None:
    """The head printed for the very entry at which the rest begins can still be checked."""
    at_the_edge = Head(19, next(month.views.entries(19)).hash)
    remove_entries(month, 10)
    assert verify(month.folder, [at_the_edge]).ok
    assert not verify(month.folder, [Head(19, "a" * 64)]).ok


def test_a_removal_can_follow_another(month: Logbook, clock: SetClock, passed: Draft) -> None:
    """Next month's run."""
    remove_entries(month, 20)
    clock.move(days=5)
    month.append(passed)
    assert remove_entries(month, 10) > 0
    assert verify(month.folder).ok


def test_entries_cut_from_the_beginning_by_hand_are_missed(month: Logbook) -> None:
    """No note covers them."""
    month.database.rows("DROP TRIGGER entries_no_delete")
    month.database.rows("DELETE FROM entries WHERE id <= 3")
    faults = [fault.text for fault in verify(month.folder).faults]
    assert "entries 1 to 3 are missing and no retention note covers them" in faults


def test_what_is_open_or_named_later_stays(
    log: Logbook, clock: SetClock, failed: Draft, opened: Draft, passed: Draft
) -> None:
    """An open action keeps its reading, a late correction keeps what it corrects."""
    log.append([passed, passed, failed.model_copy(update={"subject": "fryer"})])
    log.append(opened.model_copy(update={"refers_to": 3, "subject": "fryer"}))
    clock.move(days=20)
    log.append(Draft(kind="correction", subject="walk-in", refers_to=2, value="39", verdict="pass"))
    assert remove_entries(log, 10) == 1
    assert [entry.id for entry in log.views.entries()] == [2, 3, 4, 5, 6]
    assert verify(log.folder).ok


def test_a_clock_in_doubt_removes_nothing(month: Logbook, clock: SetClock) -> None:
    """A clock ten years ahead must not empty the log."""
    clock.move(days=3650)
    assert cutoff(month, 10).year == 2026
    for _ in range(3):
        month.append(Draft(kind="note", subject="note"))
    with pytest.raises(InputError, match="the clock jumped on 2036-"):
        remove_clips(month, 10)
    assert remove_clips(month, 10, clock_checked=True) == 30


def test_other_folders_among_the_clips_are_left_alone(month: Logbook) -> None:
    """Only folders named for a day are ours."""
    (month.clips_folder / "keepsakes").mkdir()
    (month.clips_folder / "keepsakes" / "song.flac").write_bytes(b"")
    remove_clips(month, 10)
    assert (month.clips_folder / "keepsakes" / "song.flac").exists()


def test_too_short_a_rule_is_refused(month: Logbook) -> None:
    """A slip of the keyboard."""
    with pytest.raises(InputError, match="at least 7 days"):
        remove_entries(month, 0)


def test_what_an_interrupted_backup_left_is_cleaned_up(month: Logbook, tmp_path: Path) -> None:
    """Neither half a log nor half a clip stays beside the whole ones."""
    target = tmp_path / "disk"
    (target / "clips" / "2026-03-02").mkdir(parents=True)
    left = (target / ".logbook.sqlite3.part", target / "clips" / "2026-03-02" / ".half.flac.part")
    for each in left:
        each.write_bytes(b"half")
    backup(month.folder, target, month.clock.now())
    assert not any(each.exists() for each in left)
