"""``kitchen listen`` as a process, driven by a cook who waits, listens and says a thing again when unheard.

Everything here waits for what happens, never for a fixed time, so that a slow machine is only slower.
"""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import IO, Any

import numpy as np
import numpy.typing as npt

from tests.sound_server import SoundServer

ROOT = Path(__file__).resolve().parents[2]
CLIPS = ROOT / "audio_fixtures"
RATE = 16_000
PATIENCE_S = 90.0
TRIES = 3
HEARD_S = 25.0
"""After so long without an answer a cook says it again."""
LOUD = 300
FRAME = RATE // 50
QUIET_FRAMES = 40
"""Silence (0.8 s) after which an answer is over; the voice pauses less between sentences."""

Sound = npt.NDArray[np.int16]
Turn = dict[str, Any]


def until(done: Callable[[], bool], why: Callable[[], str], patience_s: float = PATIENCE_S) -> None:
    """Wait for ``done``; fail, saying ``why``, when it never comes."""
    end = time.monotonic() + patience_s
    while not done():
        assert time.monotonic() < end, f"waited in vain: {why()}"
        time.sleep(0.1)


def loud_frames(sound: Sound) -> npt.NDArray[np.bool_]:
    """Return for each 20 ms whether there is sound."""
    frames = sound[: len(sound) // FRAME * FRAME].reshape(-1, FRAME)
    return np.abs(frames.astype(np.int32)).max(axis=1, initial=0) > LOUD


class Recording:
    """What comes out of the speaker, readable while it is made."""

    def __init__(self, sound: SoundServer, target: Path) -> None:
        self._path = target
        self._file = target.open("wb")
        command = ["parec", "-d", "speaker.monitor", "--raw", "--rate=16000", "--channels=1"]
        self._process = subprocess.Popen(
            [*command, "--format=s16le", "--latency-msec=100"], env=sound.environment, stdout=self._file
        )

    def mark(self) -> int:
        """Return how many samples there are now; the first come a second or two after the beginning."""
        until(lambda: len(self.sound()) > 0, lambda: "the speaker cannot be recorded")
        return len(self.sound())

    def sound(self, since: int = 0) -> Sound:
        """Return the samples from ``since`` on."""
        raw = self._path.read_bytes()[2 * since :]
        return np.frombuffer(raw[: len(raw) // 2 * 2], "<i2").astype(np.int16)

    def sounds(self, since: int) -> bool:
        """Whether anything was spoken since then."""
        return bool(loud_frames(self.sound(since)).any())

    def over(self, since: int) -> bool:
        """Whether something was spoken since then and it is silent now."""
        loud = loud_frames(self.sound(since))
        at = np.flatnonzero(loud)
        return len(at) > 0 and len(loud) - int(at[-1]) > QUIET_FRAMES

    def answer(self, since: int) -> Sound:
        """Wait for the end of what is spoken after ``since`` and return it."""
        until(lambda: self.over(since), lambda: "nothing was spoken, or it never ended")
        return self.sound(since)

    def close(self) -> None:
        """End it."""
        self._process.terminate()
        self._process.wait(timeout=20)
        self._file.close()


class Program:
    """``kitchen listen --json``: its turns as they come, and what it tells people."""

    def __init__(
        self, sound: SoundServer, state: Path, microphone: str = "pulse", speaker: str = "pulse"
    ) -> None:
        self.sound, self.state = sound, state
        command = [sys.executable, "-m", "assistant.cli", "--json", "--state", str(state), "listen"]
        self.process = subprocess.Popen(
            [*command, "--microphone", microphone, "--speaker", speaker],
            cwd=ROOT,
            env=sound.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        self.turns: list[Turn] = []
        self.told: list[str] = []
        pairs = ((self.process.stdout, self._turn), (self.process.stderr, self.told.append))
        self._readers = [threading.Thread(target=self._read, args=pair, daemon=True) for pair in pairs]
        for reader in self._readers:
            reader.start()
        self.until(lambda: self.tells("Listening with"))

    def _read(self, stream: IO[str], take: Callable[[str], None]) -> None:
        for line in stream:
            take(line)

    def _turn(self, line: str) -> None:
        self.turns.append(json.loads(line))

    def tells(self, words: str, since: int = 0) -> bool:
        """Whether it told people something with these words."""
        return any(words in line for line in self.told[since:])

    def until(self, done: Callable[[], bool], patience_s: float = PATIENCE_S) -> None:
        """Wait for ``done``; fail with what the program said, or when it has ended."""

        def check() -> bool:
            assert self.process.poll() is None, f"the program ended: {self.told}"
            return done()

        until(check, lambda: f"turns: {self.turns}; told: {self.told}", patience_s)

    def hears(self, clip: str, wanted: Callable[[Turn], bool] | None = None) -> Turn | None:
        """Speak a clip once; return the turn that follows (the first that is ``wanted``), if any does."""
        before = len(self.turns)
        self.sound.say(CLIPS / f"{clip}.flac").wait(timeout=60)
        end = time.monotonic() + HEARD_S
        while time.monotonic() < end:
            assert self.process.poll() is None, f"the program ended: {self.told}"
            for turn in self.turns[before:]:
                if wanted is None or wanted(turn):
                    return turn
            time.sleep(0.1)
        return None

    def answers(self, clip: str) -> Turn:
        """Speak a clip that begins with the wake phrase, again if nothing comes, and return the turn."""
        for _ in range(TRIES):
            if (turn := self.hears(clip)) is not None:
                return turn
        raise AssertionError(f"no answer to {clip}; turns: {self.turns}; told: {self.told}")

    def logs(self, clip: str, recording: Recording) -> Turn:
        """Report a reading, with a yes where it is read back first, until it is logged; return that turn."""
        for _ in range(TRIES):
            mark = recording.mark()
            turn = self.hears(clip)
            if turn is not None and turn["asks"] and not turn["entries"]:
                recording.answer(mark)
                turn = self.hears("demo/setup_yes")
            if turn is not None and turn["entries"]:
                recording.answer(mark)
                return turn
        raise AssertionError(f"{clip} was not logged; turns: {self.turns}; told: {self.told}")

    def end(self, how: signal.Signals = signal.SIGTERM) -> None:
        """End the program and the threads that read from it."""
        if self.process.poll() is None:
            self.process.send_signal(how)
        self.process.wait(timeout=60)
        for thread in self._readers:
            thread.join()
        for stream in (self.process.stdout, self.process.stderr):
            assert stream is not None
            stream.close()


def kitchen(state: Path, *words: str) -> list[Turn]:
    """Run another command of the program on the same log and return what it prints, line by line."""
    command = [sys.executable, "-m", "assistant.cli", "--json", "--state", str(state), *words]
    shown = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return [json.loads(line) for line in shown.splitlines()]


def readings(state: Path) -> list[tuple[str, str, bool]]:
    """Return subject, value and "has its clip" of today's readings, as the program lists them."""
    rows = kitchen(state, "log")
    return [(row["subject"], row["value"], bool(row["clip"])) for row in rows]
