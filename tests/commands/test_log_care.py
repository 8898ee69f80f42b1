"""The verbs that look after the log, as a person runs them."""

from __future__ import annotations

import json
import re
import sqlite3
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from assistant.door import kitchen, options_first
from assistant.logbook import Draft, Logbook, SetClock
from assistant.logbook.database import FILE_NAME
from assistant.logbook.scripts import statements


@pytest.fixture
def state(tmp_path: Path) -> Path:
    """A log of five readings."""
    with Logbook.open(tmp_path / "state", site="Pine Street") as log:
        for number in range(5):
            log.append(
                Draft(kind="reading", subject="walk-in", value=str(36 + number), unit="F", verdict="pass")
            )
    return tmp_path / "state"


def run(state: Path, *arguments: str, typed: str | None = None) -> Result:
    """Run the program on one folder."""
    return CliRunner().invoke(kitchen, options_first(["--state", str(state), *arguments]), input=typed)


def alter(state: Path) -> None:
    """Change an entry and put the guards back."""
    with closing(sqlite3.connect(state / FILE_NAME, isolation_level=None)) as raw:
        raw.execute("DROP TRIGGER entries_no_update")
        (body,) = raw.execute("SELECT body FROM entries WHERE id = 2").fetchone()
        raw.execute("UPDATE entries SET body = ? WHERE id = 2", [bytes(body).replace(b'"37"', b'"35"')])
        raw.execute(next(each for each in statements("schema.sql") if "entries_no_update" in each))


def test_a_short_head_is_checked_as_it_was_read_out(state: Path) -> None:
    """What a footer shows is enough; another log's head is told."""
    head = json.loads(run(state, "log", "head", "--json").stdout)
    assert run(state, "log", "verify", "--anchors", f"{head['count']}:{head['hash'][:16]}…").exit_code == 0
    wrong = run(state, "log", "verify", "--anchors", f"3:{'ab' * 8}")
    assert wrong.exit_code == 1
    assert "head was noted outside" in wrong.stderr


def test_an_exported_file_is_verified_by_the_same_command(state: Path, tmp_path: Path) -> None:
    """Against the head beside it, without the log."""
    assert run(state, "log", "export", str(tmp_path / "x.jsonl")).exit_code == 0
    assert "5 entries" in run(tmp_path, "log", "verify", str(tmp_path / "x.jsonl")).stdout
    text = (tmp_path / "x.jsonl").read_bytes()
    (tmp_path / "x.jsonl").write_bytes(b"\n".join(text.split(b"\n")[:3]) + b"\n")
    cut = run(tmp_path, "log", "verify", str(tmp_path / "x.jsonl"))
    assert cut.exit_code == 1
    assert "cut" in cut.stderr


@pytest.mark.parametrize("words", [("export", "OUT/x.csv"), ("play", "--to", "OUT/x.wav")], ids=" ".join)
def test_what_is_handed_on_is_checked_first(state: Path, tmp_path: Path, words: tuple[str, ...]) -> None:
    """A file or a playback made of an altered log says so, and the exit code tells."""
    alter(state)
    result = run(state, "log", *(word.replace("OUT", str(tmp_path)) for word in words))
    assert result.exit_code in (1, 3)
    assert "does not check out" in result.output or "not whole" in result.output


def test_care_is_set_shown_and_acted_on(state: Path, tmp_path: Path) -> None:
    """Heads and backups elsewhere; then entries may be thinned, after a question."""
    thin = ("log", "thin", "--keep-days", "7", "--entries")
    assert "after a backup" in run(state, *thin).stderr
    set_ = ("log", "care", "--heads-to", str(tmp_path / "h.txt"), "--backup-to", str(tmp_path / "disk"))
    assert "Last backup: none" in run(state, *set_).stdout
    assert run(state, "log", "care", "--backup-at", "soon").exit_code == 2
    assert json.loads(run(state, "log", "nightly", "--now", "--json").stdout)["done"]
    assert "every night at 03:00" in run(state, "log", "care").stdout
    assert run(state, *thin, typed="n\n").exit_code != 0
    assert run(state, *thin, typed="y\n").exit_code == 0


def test_a_damaged_log_is_saved_by_a_command(state: Path, tmp_path: Path) -> None:
    """The figures are told, the list is there."""
    alter(state)
    told = run(state, "log", "salvage", str(tmp_path / "saved"))
    assert "1 entries as a log, 3 more in rest.jsonl" in told.stdout
    assert "entry 2" in (tmp_path / "saved" / "not_whole.txt").read_text()


def test_a_time_given_by_hand_shows(tmp_path: Path) -> None:
    """Whoever sets the clock on the command line leaves a mark at each entry."""
    clock = SetClock(datetime(2026, 3, 2, 9), by_hand=True)
    with Logbook.open(tmp_path, clock=clock) as log:
        (entry,) = log.append(Draft(kind="note", subject="note"))
    assert entry.clock_by_hand
    assert "[time given by hand]" in run(tmp_path, "log", "--day", "2026-03-02").stdout


def test_removed_entries_are_named_by_the_check(tmp_path: Path) -> None:
    """Thinned after a backup and a question: the note is in the chain, verify says what is gone."""
    clock = SetClock(datetime.now().astimezone() - timedelta(days=20))
    with Logbook.open(tmp_path / "state", site="Pine Street", clock=clock) as log:
        for _ in range(20):
            log.append(Draft(kind="reading", subject="walk-in", value="38", unit="F", verdict="pass"))
            clock.move(days=1)
    state = tmp_path / "state"
    assert run(state, "log", "care", "--backup-to", str(tmp_path / "disk")).exit_code == 0
    assert run(state, "log", "nightly", "--now").exit_code == 0
    told = run(state, "log", "thin", "--keep-days", "7", "--entries", typed="y\n")
    assert "a note in the log says so" in told.stdout
    checked = run(state, "log", "verify")
    assert checked.exit_code == 0
    gone = re.search(r"Entries 1 to (\d+) were removed by rule", checked.stdout)
    assert gone is not None
    assert int(gone[1]) >= 10
