"""Appending: numbers, times, chain, whole turns, what is refused."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
import rfc8785

from assistant.errors import InputError
from assistant.logbook import Draft, Logbook, SetClock, open_views
from assistant.logbook.database import FILE_NAME


def test_an_entry_gets_number_site_and_both_times(log: Logbook, passed: Draft) -> None:
    """The store adds what a turn cannot know."""
    (entry,) = log.append(passed)
    assert (entry.id, entry.site) == (1, "Pine Street")
    assert entry.at_utc == "2026-03-02T14:30:00.000000Z"
    assert entry.at_local == "2026-03-02T09:30:00.000000-05:00"
    assert entry.value == "38"


def test_each_entry_names_the_hash_of_the_one_before(log: Logbook, passed: Draft, failed: Draft) -> None:
    """The chain begins with zeros."""
    first, second = log.append([failed, passed])
    assert first.previous_hash == "0" * 64
    assert second.previous_hash == first.hash


def test_the_hash_is_sha256_of_the_stored_bytes(log: Logbook, failed: Draft) -> None:
    """Checked with hashlib and the RFC 8785 library straight from the file."""
    (entry,) = log.append(failed)
    with sqlite3.connect(log.folder / FILE_NAME) as raw:
        ((body, stored),) = raw.execute("SELECT body, hash FROM entries").fetchall()
    raw.close()
    assert hashlib.sha256(body).hexdigest() == stored == entry.hash
    assert rfc8785.dumps(json.loads(body)) == body


def test_numbers_are_stored_as_said(log: Logbook, passed: Draft) -> None:
    """40.50 keeps its zero: nothing passes through a binary fraction."""
    (entry,) = log.append(passed.model_copy(update={"value": "40.50"}))
    assert entry.value == "40.50"


def test_a_turn_is_logged_whole_or_not_at_all(log: Logbook, passed: Draft) -> None:
    """The second draft is wrong, so the first is not there either."""
    with pytest.raises(InputError, match="no entry 99"):
        log.append([passed, Draft(kind="withdrawal", subject="walk-in", refers_to=99)])
    assert log.views.count() == 0


def test_a_draft_may_name_one_before_it_in_the_same_turn(log: Logbook, failed: Draft, opened: Draft) -> None:
    """-1 becomes the number of the draft just before."""
    log.append(Draft(kind="sign_in", subject="Dana", person="Dana"))
    reading, action = log.append([failed, opened])
    assert action.refers_to == reading.id == 2


@pytest.mark.parametrize("back", [0, -2])
def test_a_draft_cannot_count_back_beyond_its_turn(log: Logbook, failed: Draft, back: int) -> None:
    """There is nothing there to name."""
    with pytest.raises(InputError, match="no draft"):
        log.append([failed, Draft(kind="withdrawal", subject="walk-in", refers_to=back)])


@pytest.mark.parametrize("kind", ["correction", "withdrawal", "action_closed"])
def test_what_changes_an_entry_has_to_name_it(log: Logbook, kind: str) -> None:
    """A correction of nothing is refused."""
    with pytest.raises(InputError, match="has to name the entry"):
        log.append(Draft.model_validate({"kind": kind, "subject": "walk-in"}))


def test_only_a_corrective_action_can_be_closed(log: Logbook, failed: Draft) -> None:
    """A reading is no action."""
    log.append(failed)
    with pytest.raises(InputError, match="no corrective action"):
        log.append(Draft(kind="action_closed", subject="walk-in", refers_to=1))


def test_a_withdrawal_cannot_be_corrected(log: Logbook, failed: Draft) -> None:
    """It can only be withdrawn itself."""
    log.append([failed, Draft(kind="withdrawal", subject="walk-in", refers_to=-1)])
    with pytest.raises(InputError, match="withdrawn, not corrected"):
        log.append(Draft(kind="correction", subject="walk-in", refers_to=2, value="40"))


@pytest.mark.parametrize("said", ["nine thirty", "2026-03-02T09:00:00", "2026-13-02T09:00:00Z"])
def test_a_time_said_needs_its_offset(log: Logbook, failed: Draft, said: str) -> None:
    """Local times without an offset are ambiguous twice a year."""
    with pytest.raises(InputError, match="no time with its offset"):
        log.append(failed.model_copy(update={"said_at": said}))


def test_text_that_is_no_text_is_refused(log: Logbook) -> None:
    """Half of a surrogate pair has no UTF-8."""
    with pytest.raises(InputError, match="not text"):
        log.append(Draft(kind="note", subject="note", note="\ud800"))


def test_an_empty_turn_logs_nothing(log: Logbook) -> None:
    """Silence does nothing at all."""
    assert log.append([]) == ()
    assert log.views.head().count == 0


def test_a_reopened_log_goes_on(tmp_path: Path, clock: SetClock, passed: Draft) -> None:
    """Number and chain continue after a restart."""
    for _ in range(2):
        with Logbook.open(tmp_path, clock=clock) as log:
            log.append(passed)
    with open_views(tmp_path) as views:
        first, second = views.entries()
    assert (second.id, second.previous_hash) == (2, first.hash)


def test_a_renamed_kitchen_keeps_its_chain(tmp_path: Path, clock: SetClock, passed: Draft) -> None:
    """Entries carry the name of their time; the log goes on as one."""
    for name in ("Pine Street", "Pine Street Kitchen"):
        with Logbook.open(tmp_path, site=name, clock=clock) as log:
            log.append(passed)
    with open_views(tmp_path) as views:
        names = [entry.site for entry in views.entries()]
    assert names == ["Pine Street", "Pine Street Kitchen"]


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entries SET body = x'7b7d'",
        "DELETE FROM entries",
        "INSERT INTO entries VALUES ('x', 1, ?, ?, x'7b7d')",
        "INSERT OR REPLACE INTO entries VALUES ('x', 1, ?, ?, x'7b7d')",
        "INSERT INTO entries VALUES ('x', 3, ?, ?, x'7b7d')",
        "INSERT INTO entries VALUES ('x', 2, ?, ?, x'7b7d')",
    ],
)
def test_the_file_refuses_change_from_any_program(log: Logbook, failed: Draft, statement: str) -> None:
    """The guards are in the file: a plain connection meets them too."""
    log.append(failed)
    raw = sqlite3.connect(log.folder / FILE_NAME)
    with pytest.raises(sqlite3.IntegrityError, match="append-only"):
        raw.execute(statement, ["0" * 64] * statement.count("?"))
    raw.close()


def test_a_commit_waits_for_the_disk(log: Logbook) -> None:
    """EXTRA is 3; the journal is one that is rolled back, whatever the library can do."""
    mode = log.database.rows("PRAGMA journal_mode")[0][0]
    level = log.database.rows("PRAGMA synchronous")[0][0]
    assert (mode, level) == ("truncate", 3)


def test_a_log_with_a_write_ahead_log_is_taken_off_it(tmp_path: Path, clock: SetClock) -> None:
    """As versions before made it on newer systems; what is only in the write-ahead log is kept."""
    Logbook.open(tmp_path, site="here", clock=clock).close()
    with closing(sqlite3.connect(tmp_path / FILE_NAME)) as other:
        assert other.execute("PRAGMA journal_mode = WAL").fetchone() == ("wal",)
        with Logbook.open(tmp_path, site="here", clock=clock) as beside:
            beside.append(Draft(kind="note", subject="note", note="while another has it open"))
            assert beside.database.rows("PRAGMA journal_mode")[0][0] in ("wal", "truncate")
    with Logbook.open(tmp_path, site="here", clock=clock) as log:
        assert log.database.rows("PRAGMA journal_mode")[0][0] == "truncate"
        assert log.views.line(1) is not None
    assert not (tmp_path / f"{FILE_NAME}-wal").exists()
