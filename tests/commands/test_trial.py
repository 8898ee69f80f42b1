"""Things are tried without filling the kitchen's own log, and one filled so is set aside whole."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from assistant.commands.ask import TRIED as LANGUAGE_TRIED
from assistant.commands.show import EXAMPLE, TRIED, TRY_FIRST, as_called
from assistant.door import NO_TRIAL, SET_CLOCK, TWO_LOGS, kitchen, options_first
from assistant.logbook.aside import set_aside
from assistant.logbook.care import Care, save_care
from assistant.logbook.clock import SetClock
from assistant.logbook.sending import SENT_NAME
from assistant.logbook.store import open_views
from assistant.logbook.verify import verify
from assistant.options import TRIAL, Options
from tests.manager.pdf_text import pdf_text


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder of the kitchen's own log, where none is named; nothing is there."""
    monkeypatch.setattr("platformdirs.user_data_path", lambda *_, **__: tmp_path / "own")
    return tmp_path / "own"


def run(*words: str) -> Result:
    """Run the program as it is called."""
    return CliRunner().invoke(kitchen, options_first(list(words)))


def readings(folder: Path) -> list[str]:
    """Return what stands in the log of a folder."""
    with open_views(folder) as views:
        return [f"{line.entry.kind} {line.entry.value or line.entry.note}" for line in views.each()]


def test_a_trial_goes_into_a_log_of_its_own(own: Path) -> None:
    """Said at each turn; the kitchen's own log is not begun, and takes nothing later."""
    tried = run("ask", "--trial", "walk-in thirty eight")
    assert TRIED.format(folder=own / "trial") in tried.stderr
    assert [path.name for path in own.iterdir()] == ["trial"]
    first = run("ask", "reach-in thirty nine")
    assert first.stderr == (f"{as_called(EXAMPLE)}\nA new log was begun in {own}\n{as_called(TRY_FIRST)}\n")
    assert run("ask", "--trial", "walk-in thirty nine").exit_code == 0
    assert readings(own) == ["reading 39"]
    assert readings(own / "trial") == ["reading 38", "reading 39"]
    assert "38" in run("log", "--trial").output


def test_paper_of_a_trial_says_so(own: Path, tmp_path: Path) -> None:
    """Nobody takes it for the record."""
    run("ask", "--trial", "walk-in thirty eight")
    assert run("report", "--trial", "--pdf", str(tmp_path / "week.pdf")).exit_code == 0
    assert TRIAL in pdf_text(tmp_path / "week.pdf")
    assert Options(trial=True).load_site().kitchen.name.endswith(TRIAL)
    assert TRIAL not in Options().load_site().kitchen.name


def test_a_clock_and_an_unfinished_language_may_be_tried(own: Path) -> None:
    """What is refused where the real log would take it; a folder that is named is another log."""
    assert run("ask", "--trial", "--at", "2026-03-02T10:00", "walk-in thirty eight").exit_code == 0
    assert run("ask", "--at", "2026-03-02T10:00", "walk-in thirty eight").stderr == f"{SET_CLOCK}.\n"
    assert "--trial" in LANGUAGE_TRIED
    refused = run("ask", "--trial", "--state", str(own), "walk-in thirty eight")
    assert (refused.exit_code, refused.stderr) == (2, f"{TWO_LOGS}.\n")


def test_a_log_is_set_aside_whole(own: Path) -> None:
    """The old one stays as it was; the new one begins with how long that was and how it ended."""
    run("ask", "walk-in thirty eight")
    run("ask", "walk-in thirty nine")
    with open_views(own) as views:
        head = views.head()
    assert "Aborted" in run("log", "set-aside").stderr
    assert len(readings(own)) == 2
    done = json.loads(run("log", "set-aside", "--yes", "--json").stdout)
    kept = Path(done["kept"])
    assert kept.parent == own
    assert readings(kept) == ["reading 38", "reading 39"]
    assert verify(kept, (head,)).first is None
    assert readings(own) == [f"note {done['note']}"]
    assert "2 entries" in done["note"]
    assert head.hash[:16] in done["note"]
    assert kept.name in done["note"]
    assert verify(own).first is None
    assert verify(own, (head,)).first is not None, "a head noted before shows that this is another log"


def test_no_log_that_was_set_aside_is_ever_written_over(own: Path) -> None:
    """Twice in one second: each keeps a folder of its own."""
    run("ask", "walk-in thirty eight")
    now = datetime(2026, 3, 2, 12, tzinfo=UTC)
    kept = [set_aside(own, "", SetClock(now))[0] for _ in range(3)]
    assert len({*kept}) == len(kept)
    assert readings(kept[0]) == ["reading 38"]
    assert all(verify(each).first is None for each in (*kept, own))


def test_a_record_in_use_is_not_set_aside(own: Path, tmp_path: Path) -> None:
    """Where it is backed up or its heads are noted, it stays; where none is, nothing is made."""
    assert run("log", "set-aside", "--yes").stderr.startswith(f"There is no log in {own}: ")
    assert not own.exists()
    run("ask", "walk-in thirty eight")
    for care in (Care(heads_to=str(tmp_path / "heads.txt")), Care(backup_to=str(tmp_path / "copy"))):
        save_care(own, care)
        assert "record in use" in run("log", "set-aside", "--yes").stderr
        assert readings(own) == ["reading 38"]


def test_what_is_open_is_named_where_a_log_is_set_aside(own: Path) -> None:
    """Nobody asks about it in the new log: it is said before, and stands in the note."""
    run("ask", "walk-in forty eight")
    done = run("log", "set-aside", "--yes", "--json")
    assert "Still open, and not asked about in a new log: walk-in." in done.stderr
    assert json.loads(done.stdout)["note"].endswith("still open there: walk-in")


def test_a_log_that_was_sent_is_not_set_aside(own: Path) -> None:
    """The office would take no other history."""
    run("ask", "walk-in thirty eight")
    (own / SENT_NAME).write_text("", encoding="utf-8")
    assert "record in use" in run("log", "set-aside", "--yes").stderr
    assert readings(own) == ["reading 38"]


@pytest.mark.parametrize("words", [["service", "install"], ["demo"], ["doctor"]])
def test_a_trial_is_refused_where_it_has_no_meaning(own: Path, words: list[str]) -> None:
    """Nothing that was meant as a trial goes into the kitchen's own log."""
    refused = run("--trial", *words)
    assert refused.exit_code == 2
    assert NO_TRIAL.format(command=words[0]) in refused.stderr
    assert not own.exists()
