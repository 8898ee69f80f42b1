"""Faults of the world outside, each in one plain sentence, with nothing of the system's own wording."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from assistant.door import kitchen, options_first
from assistant.logbook import sending
from assistant.speech import doctor as looked
from assistant.speech.doctor import Check

ROOT = Path(__file__).resolve().parents[2]


def run(state: Path, *arguments: str) -> Result:
    """Run the program on one folder."""
    return CliRunner().invoke(kitchen, options_first(["--state", str(state), *arguments]))


@pytest.fixture
def state(tmp_path: Path) -> Path:
    """A log with one reading."""
    run(tmp_path / "log", "ask", "walk-in thirty eight")
    return tmp_path / "log"


@pytest.mark.parametrize(
    ("words", "says", "code"),
    [
        (("log", "backup", "/proc/nope"), "there is no place for", 4),
        (("log", "head", "--to", "/proc/nope/x"), "there is no place for", 4),
        (("log", "send", "postgresql://nobody@127.0.0.1:1/x"), "cannot be reached", 4),
        (("log", "play", "--to", "p.mp3"), "must end in .wav", 2),
        (("hear", "--engine", "vosk", "x.wav"), "no other English Vosk model is installed", 3),
    ],
)
def test_one_plain_sentence(
    state: Path, words: tuple[str, ...], says: str, code: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No error number, no text of a driver. How long is waited between tries is tested where it is sent."""
    monkeypatch.setattr(sending, "FIRST_PAUSE", 0.01)
    result = run(state, *words)
    assert result.exit_code == code, result.output
    assert says in result.stderr.lower() or says in result.stderr
    assert "Errno" not in result.stderr
    assert "listening on" not in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="only Linux has a device that is always full")
def test_output_that_cannot_be_written(state: Path) -> None:
    """A full disk under standard output: one sentence, exit code 1, no traceback at the end."""
    command = [sys.executable, "-m", "assistant.cli", "--state", str(state), "log"]
    with open("/dev/full", "w") as full:
        done = subprocess.run(command, cwd=ROOT, stdout=full, stderr=subprocess.PIPE, text=True)
    assert (done.returncode, done.stderr) == (
        1, "What is printed cannot be written: the disk is full. What was logged is kept.\n"
    )  # fmt: skip


def test_one_clip_is_one_clip(state: Path) -> None:
    """Nouns follow their numbers."""
    assert "Verified: 1 entry and 0 clips as written." in run(state, "log", "verify").stdout


@pytest.mark.parametrize(("worst", "code"), [("ok", 0), ("warning", 0), ("missing", 3)])
def test_doctor_tells_by_its_exit_code(
    state: Path, monkeypatch: pytest.MonkeyPatch, worst: looked.State, code: int
) -> None:
    """What does not work at all is an exit code; what works with less is none."""
    checks = (Check("voice", "ok", "speaks"), Check("microphone", worst, "as it is"))
    monkeypatch.setattr(looked, "examine", lambda *_: checks)
    assert run(state, "doctor").exit_code == code
