"""The whole program on real sound devices made in software: clips go in by microphone, answers come out.

All speech here is synthetic. Skipped where no sound server can be started; .ci/run installs one.
"""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.sound_server import SoundServer, need_sound_server

pytestmark = pytest.mark.live

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "audio_fixtures" / "demo"
PATIENCE_S = 90.0
TRIES = 3


class Program:
    """``kitchen listen --json`` as a process; its turns as they come."""

    def __init__(self, sound: SoundServer, state: Path) -> None:
        self.process = subprocess.Popen(
            [
                sys.executable,
                "-m",
                "assistant.cli",
                "--json",
                "--state",
                str(state),
                "listen",
                "--microphone",
                "pulse",
                "--speaker",
                "pulse",
            ],
            cwd=ROOT,
            env=sound.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        self.turns: list[dict[str, Any]] = []
        self.said: list[str] = []
        pairs = ((self.process.stdout, self._turn), (self.process.stderr, self.said.append))
        self._readers = [threading.Thread(target=self._read, args=pair, daemon=True) for pair in pairs]
        for reader in self._readers:
            reader.start()
        self.until(lambda: any("Listening with" in line for line in self.said))

    def _read(self, stream: Any, take: Any) -> None:
        for line in stream:
            take(line)

    def _turn(self, line: str) -> None:
        self.turns.append(json.loads(line))

    def until(self, done: Any) -> None:
        """Wait for ``done``; fail with what the program said."""
        end = time.monotonic() + PATIENCE_S
        while not done():
            assert time.monotonic() < end, f"waited in vain; turns: {self.turns}; said: {self.said}"
            assert self.process.poll() is None, f"the program ended: {self.said}"
            time.sleep(0.1)

    def hears(self, sound: SoundServer, name: str) -> dict[str, Any]:
        """Speak a clip and return the turn that follows; like a cook, say it again if nothing comes."""
        before = len(self.turns)
        for _ in range(TRIES):
            sound.say(DEMO / f"{name}.flac").wait()
            end = time.monotonic() + PATIENCE_S / TRIES
            while len(self.turns) == before and time.monotonic() < end:
                time.sleep(0.1)
            if len(self.turns) > before:
                break
        self.until(lambda: len(self.turns) > before)
        return self.turns[-1]

    def end(self, how: signal.Signals = signal.SIGTERM) -> None:
        """End the program and the threads that read from it."""
        if self.process.poll() is None:
            self.process.send_signal(how)
        self.process.wait(timeout=30)
        for thread in self._readers:
            thread.join()
        for stream in (self.process.stdout, self.process.stderr):
            assert stream is not None
            stream.close()


@pytest.fixture
def sound() -> Iterator[SoundServer]:
    """A running sound server."""
    need_sound_server()
    server = SoundServer()
    yield server
    server.close()


def rows(state: Path) -> list[dict[str, Any]]:
    """Return today's log as the program prints it."""
    command = [sys.executable, "-m", "assistant.cli", "--json", "--state", str(state), "log"]
    shown = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return [json.loads(line) for line in shown.splitlines()]


def test_wake_follow_up_and_log(sound: SoundServer, tmp_path: Path) -> None:
    """The wake phrase is needed once; a follow-up needs none; a reading is logged; the answers sound."""
    state = tmp_path / "state"
    recording = sound.record(tmp_path / "spoken.wav")
    program = Program(sound, state)
    try:
        sound.say(DEMO / "cook_ground_beef.flac").wait()  # no wake phrase: must stay without an answer
        time.sleep(6)
        assert program.turns == []
        assert program.hears(sound, "wake_cook_ground_beef")["intent"] == "storage_place"
        _quiet(program)
        assert program.hears(sound, "cook_and_the_turkey")["slots"]["food"] == "turkey"
        _quiet(program)
        turn = program.hears(sound, "wake_setup_quat_200")
        if turn["asks"]:
            _quiet(program)
            turn = program.hears(sound, "setup_yes")
        assert [(e["subject"], e["value"]) for e in turn["entries"]] == [("quat bucket", "200")]
        _quiet(program)
    finally:
        program.end()
        recording.terminate()
        recording.wait()
    assert [(row["subject"], row["value"], bool(row["clip"])) for row in rows(state)] == [
        ("quat bucket", "200", True)
    ]
    spoken = np.frombuffer((tmp_path / "spoken.wav").read_bytes()[44:][: 2 * 16_000 * 60], "<i2")
    assert np.abs(spoken).max() > 1000, "nothing came out of the speaker"
    words = _recognised(spoken)
    assert "155" in words, words  # the number of the first answer, as a listener hears it


def _quiet(program: Program) -> None:
    """Wait until the answer has been spoken: as long as the voice needs for it, and the gate's tail."""
    from assistant.speech.voice import open_voice

    voice = open_voice()
    seconds = len(voice.samples(program.turns[-1]["speech"])) / voice.rate
    voice.close()
    time.sleep(seconds + 1.5)


def _recognised(spoken: Any) -> str:
    """Recognise the recorded answers again with the embedded recogniser."""
    from assistant.audio.utterance import Utterance
    from assistant.speech.recogniser import recognise
    from assistant.speech.whisper import WhisperRecogniser

    return recognise(WhisperRecogniser(), Utterance(spoken[: 16_000 * 25].astype(np.int16))).best


def test_kill_in_mid_utterance_and_restart(sound: SoundServer, tmp_path: Path) -> None:
    """A kill -9 while somebody speaks loses nothing that was logged; the restarted program goes on."""
    state = tmp_path / "state"
    program = Program(sound, state)
    program.hears(sound, "wake_setup_walk_in_38")
    logged = rows(state)
    talker = sound.say(DEMO / "wake_setup_quat_200.flac")
    time.sleep(0.8)
    program.end(signal.SIGKILL)
    talker.wait()
    assert rows(state) == logged
    again = Program(sound, state)
    try:
        assert again.hears(sound, "wake_cook_ground_beef")["intent"] == "storage_place"
    finally:
        again.end()
