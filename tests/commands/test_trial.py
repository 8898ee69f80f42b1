"""Things are tried without filling the kitchen's own log."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from assistant.commands.ask import TRIED as LANGUAGE_TRIED
from assistant.commands.show import EXAMPLE, TRIED, TRY_FIRST, as_called
from assistant.door import NO_TRIAL, SET_CLOCK, TWO_LOGS, kitchen, options_first
from assistant.logbook.store import open_views
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


@pytest.mark.parametrize("words", [["service", "install"], ["demo"], ["doctor"]])
def test_a_trial_is_refused_where_it_has_no_meaning(own: Path, words: list[str]) -> None:
    """Nothing that was meant as a trial goes into the kitchen's own log."""
    refused = run("--trial", *words)
    assert refused.exit_code == 2
    assert NO_TRIAL.format(command=words[0]) in refused.stderr
    assert not own.exists()


@pytest.mark.parametrize("verb", ["backup", "restore", "care", "nightly", "head", "send"])
def test_a_trial_is_never_kept_as_the_record(own: Path, verb: str) -> None:
    """A backup of a trial beside those of the record would be brought back as the record."""
    refused = run("--trial", "log", verb, *(["folder"] if verb in ("backup", "restore") else []))
    assert refused.exit_code == 2
    assert "not for --trial" in refused.stderr
    assert not own.exists()
