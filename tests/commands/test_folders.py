"""A mistyped folder: reading commands make nothing and say so; writing commands say that a log was begun."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from assistant.commands.show import EXAMPLE, as_called
from assistant.door import kitchen, options_first

READING = (
    ("log",), ("log", "--open"), ("log", "play"), ("log", "verify"), ("log", "head"),
    ("log", "export", "OUT/x.csv"), ("log", "backup", "OUT/copy"), ("log", "thin", "--keep-days", "30"),
    ("report", "--pdf", "OUT/x.pdf"),
)  # fmt: skip


def run(state: Path, *arguments: str) -> Result:
    """Run the program on one folder."""
    return CliRunner().invoke(kitchen, options_first(["--state", str(state), *arguments]))


@pytest.mark.parametrize("words", READING, ids=" ".join)
def test_reading_makes_nothing(tmp_path: Path, words: tuple[str, ...]) -> None:
    """Where no log is, the folder is named, the exit code tells, and nothing is created."""
    out = tmp_path / "out"
    result = run(tmp_path / "mistyped", *(word.replace("OUT", str(out)) for word in words))
    assert result.exit_code == 2
    assert result.stderr.startswith(f"There is no log in {tmp_path / 'mistyped'}: ")
    assert len(result.stderr.splitlines()) == 1
    assert list(tmp_path.iterdir()) == []


def test_writing_says_once_that_a_log_was_begun(tmp_path: Path) -> None:
    """The first turn says where the log now is, beside the answer; the second does not."""
    first = run(tmp_path / "new", "ask", "quat bucket 2 at 200 ppm", "--json")
    assert first.stderr == f"{as_called(EXAMPLE)}\nA new log was begun in {tmp_path / 'new'}\n"
    assert json.loads(first.stdout)["verdict"] == "pass"
    assert run(tmp_path / "new", "ask", "quat bucket 2 at 200 ppm").stderr == f"{as_called(EXAMPLE)}\n"


@pytest.mark.parametrize("words", [("ask", "hello"), ("log",), ("log", "verify"), ("manager", "--port", "1")])
def test_a_file_in_the_place_of_the_folder(tmp_path: Path, words: tuple[str, ...]) -> None:
    """A file given as the folder, or above it, is one clear sentence."""
    (tmp_path / "notes.txt").write_text("no folder")
    for state in (tmp_path / "notes.txt", tmp_path / "notes.txt" / "deeper"):
        result = run(state, *words)
        assert result.exit_code == 2
        told = "is a file, and the log needs a folder: name another one with --state."
        notice, _, rest = result.stderr.rpartition(f"{tmp_path / 'notes.txt'} {told}\n")
        assert not rest
        assert not notice or (words[0] == "manager" and notice.endswith("set the kitchen up on the page.\n"))


def test_playing_another_day_names_it_and_the_file(tmp_path: Path) -> None:
    """A past day is not called today, and what became of the sound is told."""
    run(tmp_path, "--at", "2026-03-02T10:00", "ask", "walk-in thirty eight")
    result = run(tmp_path, "--at", "2026-03-09T10:00", "log", "play", "--day", "2026-03-02")
    assert result.stdout.startswith("On Monday, March 2: ")
    assert "Today" not in result.stdout
    empty = run(tmp_path, "--at", "2026-03-09T10:00", "log", "play", "--day", "2026-03-03")
    assert empty.stdout == "Nothing was logged on Tuesday, March 3.\n"
    assert f"The sound is in {tmp_path / 'playback.wav'}" in result.stderr or "no voice" in result.stderr


def test_a_missing_speaker_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a speaker the words are printed, and it says that nothing was heard and where the sound is."""
    from assistant.audio.player import Played
    from assistant.speech.voice import SilentVoice

    silent = Played(0.0, False, "no speaker here")
    monkeypatch.setattr("assistant.audio.player.play_file", lambda path: silent)
    monkeypatch.setattr("assistant.speech.voice.open_voice", lambda: _Writes())
    run(tmp_path, "ask", "walk-in thirty eight")
    told = run(tmp_path, "log", "play").stderr.splitlines()
    assert told == ["It was not heard: no speaker here.", f"The sound is in {tmp_path / 'playback.wav'}"]
    monkeypatch.setattr("assistant.speech.voice.open_voice", lambda: SilentVoice("none installed"))
    result = run(tmp_path, "log", "play")
    assert result.exit_code == 0
    assert result.stderr == "There is no voice to speak with: none installed. See: kitchen doctor\n"


class _Writes:
    """A voice that writes a file of no use."""

    why = ""

    def speak_to_file(self, text: str, path: Path) -> bool:
        """Write something."""
        path.write_bytes(b"RIFF")
        return True

    def close(self) -> None:
        """Do nothing."""


@pytest.mark.parametrize(
    ("words", "keys"),
    [
        (("profiles",), {"name", "title"}),
        (("profiles", "california"), {"key", "value", "unit", "document", "section", "flag", "assumed"}),
        (("card",), {"title", "phrases"}),
        (("log", "head"), {"count", "hash"}),
    ],
)
def test_json_everywhere(tmp_path: Path, words: tuple[str, ...], keys: set[str]) -> None:
    """With --json each line of standard output is one object."""
    run(tmp_path, "ask", "walk-in thirty eight")
    lines = [json.loads(line) for line in run(tmp_path, "--json", *words).stdout.splitlines()]
    assert lines
    assert all(set(line) == keys for line in lines)
