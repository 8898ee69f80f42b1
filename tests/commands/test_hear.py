"""Sound files and microphones that give nothing: one sentence each, with what to do, and an exit code."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile
from click.testing import CliRunner, Result

from assistant.audio import devices
from assistant.audio.levels import only_silence
from assistant.audio.microphone_here import MUTE, refuse_mute
from assistant.audio.utterance import RATE
from assistant.commands import hear as command
from assistant.door import kitchen, options_first
from assistant.errors import MissingError
from assistant.live.events import Event, Level
from assistant.live.mute import MUTE_S, telling_mute
from assistant.speech.fake import ScriptedRecogniser
from audio_fixtures.voices import FOLDER

READING = FOLDER / "temperature_reading" / "walk_in_thirty_seven.flac"


def run(state: Path, *arguments: str) -> Result:
    """Run the program on a folder."""
    return CliRunner().invoke(kitchen, options_first(["--state", str(state), *arguments]))


@pytest.fixture(autouse=True)
def listener(monkeypatch: pytest.MonkeyPatch) -> None:
    """A recogniser that hears one sentence wherever somebody speaks."""
    monkeypatch.setattr(
        command, "open_recogniser", lambda *_: ScriptedRecogniser(["hey kitchen walk-in thirty seven"] * 3)
    )


def made(folder: Path, name: str) -> Path:
    """Make a sound file of a kind in which nobody speaks."""
    path = folder / name
    if name == "text.mp3":
        path.write_text("walk-in thirty eight\n" * 40)
        return path
    noise = np.random.default_rng(0).normal(0, 0.05, 2 * RATE)
    sounds = {"silent.wav": np.zeros(2 * RATE), "short.wav": noise[:800], "noise.wav": noise}
    soundfile.write(path, sounds[name], RATE)
    return path


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("silent.wav", "is silent from beginning to end"),
        ("short.wav", "lasts 0.05 seconds, which is shorter than a word"),
        ("noise.wav", "Nobody is heard speaking in"),
        ("text.mp3", "is not a sound file"),
    ],
)
def test_a_file_without_speech_is_one_sentence(
    tmp_path: Path, name: str, says: str, capfd: pytest.CaptureFixture[str]
) -> None:
    """Also beside a good one, which is still heard; nothing of a library's own is printed."""
    path = made(tmp_path, name)
    result = run(tmp_path / "log", "--json", "hear", str(path), str(READING))
    assert result.exit_code == 2
    told = [line for line in result.stderr.splitlines() if name in line]
    assert len(told) == 1
    assert says in told[0]
    assert told[0].endswith(".")
    (turn,) = (json.loads(line) for line in result.stdout.splitlines())
    assert turn["entries"][0]["subject"] == "walk-in"
    assert capfd.readouterr().err == ""


def test_who_signed_in_stays_on_for_a_file(tmp_path: Path) -> None:
    """A sign-in typed before is that of the sound, too."""
    run(tmp_path, "ask", "this is Dev")
    turn = json.loads(run(tmp_path, "--json", "hear", str(READING)).stdout)
    assert turn["entries"][0]["person"] == "Dev"


def test_a_silent_recording_is_told_before_the_check_begins(tmp_path: Path) -> None:
    """Of ``hear-check --from``, before any model is loaded."""
    result = run(tmp_path / "log", "hear-check", "--from", str(made(tmp_path, "silent.wav")))
    assert result.exit_code == 2
    assert "is silent from beginning to end" in result.stderr
    assert "Loading" not in result.stderr


@pytest.mark.parametrize(
    ("words", "next_command"),
    [("listen", 'kitchen ask "walk-in'), ("hear-check", "kitchen hear-check --list")],
)
def test_without_a_microphone_the_next_command_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: str, next_command: str
) -> None:
    """One sentence: what is missing, and what can be done without it."""
    monkeypatch.setattr(devices, "list_devices", lambda: ())
    result = run(tmp_path, words)
    assert result.exit_code == 3
    (told,) = [line for line in result.stderr.splitlines() if "microphone" in line]
    assert told.startswith("This machine has no microphone; plug one in, or ")
    assert next_command in told


@pytest.mark.parametrize(
    ("before", "problem", "says"),
    [
        (np.zeros(RATE, np.int16), "", MUTE),
        (np.zeros(0, np.int16), "", "the microphone gives no sound"),
        (np.zeros(0, np.int16), "it was unplugged", "it was unplugged"),
    ],
)
def test_a_microphone_that_gives_nothing_ends_the_check(before: np.ndarray, problem: str, says: str) -> None:
    """Instead of a dozen waits; a quiet room has some noise and goes on."""
    with pytest.raises(MissingError, match="kitchen doctor") as fault:
        refuse_mute(before, problem)
    assert says in str(fault.value)
    room = np.random.default_rng(0).normal(0, 4, RATE).astype(np.int16)
    assert not only_silence(room)
    refuse_mute(room, "")


@pytest.mark.parametrize(("levels", "told"), [([0.0, 0.0], 1), ([0.0, 0.2], 0), ([0.2, 0.0], 0)])
def test_a_mute_microphone_is_told_once_while_it_listens(levels: list[float], told: int) -> None:
    """Only where nothing at all came from the start; every event is passed on."""
    passed: list[Event] = []
    count = 0
    time = 0.0

    def tell() -> None:
        nonlocal count
        count += 1

    see: Callable[[Event], None] = telling_mute(passed.append, tell, lambda: time)
    for level in [*levels, *levels, 0.0]:
        see(Level(level))
        time += MUTE_S
    assert count == told
    assert len(passed) == 5
