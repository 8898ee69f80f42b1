"""Play sound through the speaker, stop it at once, and tell by value whether it sounded."""

from __future__ import annotations

import threading
import time
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

import numpy as np
import soundfile

from assistant.audio import quiet_library
from assistant.audio.devices import CHECK_DEVICE, find_device, portaudio
from assistant.audio.sound_files import resample
from assistant.audio.utterance import Samples
from assistant.errors import KitchenError, MissingError

_LATENCY_S = (
    0.1  # the device's own buffer: less loses sound, 0.2 s cuts the end off (tests/audio/test_live.py)
)
_MOST_LATENCY_S = 0.4
_GRACE_S = 3.0  # a device that takes nothing for so long is stuck


@dataclass(frozen=True)
class Played:
    """``sounded``: seconds that went to the device; ``why`` says what kept it silent, if anything."""

    sounded: float
    finished: bool
    why: str = ""


class Player(Protocol):
    """Plays one sound at a time."""

    def play(self, samples: Samples, rate: int) -> None:
        """Begin to play mono samples; a sound in progress is cut off."""

    def stop(self) -> None:
        """Fall silent at once."""

    def playing(self) -> bool:
        """Whether something sounds now."""

    def wait(self) -> Played:
        """Wait for the end and return what became of the sound."""

    def close(self) -> None:
        """Let go of the device."""


class SpeakerPlayer:
    """Plays through PortAudio. For use by one thread, except ``stop`` and ``playing``, which any may call.

    Without a library or device it plays nothing and ``wait`` says why. After a failure the library
    looks for devices anew, so that a speaker that was plugged in again is found. Where the sound ran short,
    the next one gets twice the buffer (``latency_s``).
    """

    def __init__(self, device: str = "") -> None:
        self._device = device
        self._stream: Any = None
        self._sound: _Sound | None = None
        self._why = ""
        self.latency_s = _LATENCY_S
        self._underruns = 0
        with suppress(MissingError):
            portaudio()  # loading takes half a second: not before the first answer

    def play(self, samples: Samples, rate: int) -> None:
        """Begin to play; returns at once."""
        self.close()
        self._why = ""
        for last in (False, True):
            try:
                self._open(samples, rate)
                return
            except KitchenError as fault:
                self._why = str(fault)
            except Exception:  # PortAudio's own errors, whatever the driver thinks of
                self._why = f"the speaker cannot be opened; {CHECK_DEVICE}"
            if not last and not _look_again():
                return

    def stop(self) -> None:
        """Fall silent within a block."""
        if self._sound is not None:
            self._sound.stopped = True

    def playing(self) -> bool:
        """Whether something sounds now."""
        return self._sound is not None and not self._sound.ended.is_set()

    def wait(self) -> Played:
        """Wait for the end; a device that hangs is given up."""
        sound = self._sound
        if sound is None:
            return Played(0.0, False, self._why or "nothing was played")
        at, patience = -1, time.monotonic() + _GRACE_S
        while not sound.ended.wait(0.1):
            if sound.at != at:
                at, patience = sound.at, time.monotonic() + _GRACE_S
            elif time.monotonic() > patience:
                self._why = "the speaker does not take the sound; check its plug"
                break
        played = Played(min(sound.at, len(sound.samples)) / sound.rate, sound.finished, self._why)
        self.close()
        return played

    def close(self) -> None:
        """Stop and let go of the device."""
        self.stop()
        stream, self._stream, self._sound = self._stream, None, None
        if stream is not None:
            try:
                stream.abort(ignore_errors=True)
                stream.close(ignore_errors=True)
            except Exception as fault:  # the device went away meanwhile
                self._why = self._why or str(fault)

    def _open(self, samples: Samples, rate: int) -> None:
        device = find_device(self._device, "output")
        module = portaudio()
        try:
            module.check_output_settings(device=device.index, channels=1, dtype="int16", samplerate=rate)
        except module.PortAudioError:
            samples = resample(samples.astype(np.float32) / 32768.0, rate, device.rate)
            rate = device.rate
        if quiet_library.underruns > self._underruns:  # it ran short: a slow machine gets a larger buffer
            self.latency_s = min(_MOST_LATENCY_S, 2 * self.latency_s)
        self._underruns = quiet_library.underruns
        sound = _Sound(samples, rate, self.latency_s)
        self._stream = module.RawOutputStream(
            samplerate=rate,
            blocksize=0,  # as the device likes it: blocks of our own size ran out before the next one came
            latency=self.latency_s,
            device=device.index,
            channels=1,
            dtype="int16",
            callback=_filler(sound, module),
            finished_callback=sound.ended.set,
        )
        self._sound = sound
        self._stream.start()


class SilentPlayer:
    """A player for tests and for machines without a speaker: keeps what it was given.

    With ``real_time`` a sound lasts as long as it would; otherwise it is over at once.
    """

    def __init__(self, why: str = "", real_time: bool = False) -> None:
        self.played: list[tuple[Samples, int]] = []
        self._why = why
        self._real_time = real_time
        self._until = self._began = 0.0
        self._stopped_at: float | None = None

    def play(self, samples: Samples, rate: int) -> None:
        """Keep the sound."""
        self.played.append((samples, rate))
        self._began = time.monotonic()
        self._until = self._began + (len(samples) / rate if self._real_time else 0.0)
        self._stopped_at = None

    def stop(self) -> None:
        """End the sound."""
        if self.playing():
            self._stopped_at = time.monotonic()

    def playing(self) -> bool:
        """Whether the sound would still be heard."""
        return self._stopped_at is None and time.monotonic() < self._until

    def wait(self) -> Played:
        """Sleep until the sound would be over."""
        while self.playing():
            time.sleep(0.005)
        if not self.played:
            return Played(0.0, False, self._why or "nothing was played")
        samples, rate = self.played[-1]
        if self._stopped_at is not None:
            return Played(self._stopped_at - self._began, False, self._why)
        return Played(0.0 if self._why else len(samples) / rate, not self._why, self._why)

    def close(self) -> None:
        """End the sound."""
        self.stop()


def play_file(path: str | Path, device: str = "") -> Played:
    """Play a sound file to its end, and return whether it sounded."""
    samples, rate = soundfile.read(path, dtype="int16", always_2d=True)
    player = SpeakerPlayer(device)
    player.play(np.ascontiguousarray(samples[:, 0]), rate)
    return player.wait()


class _Sound:
    """What the callback shares with the rest: plain values only, no locks.

    ``tail_s`` is silence behind the sound: what the device still holds when it is closed is lost.
    """

    def __init__(self, samples: Samples, rate: int, tail_s: float) -> None:
        self.samples = samples
        self.rate = rate
        self.frames = samples.astype("<i2").tobytes() + bytes(2 * int(tail_s * rate))
        self.at = 0  # frames handed to the device
        self.stopped = False
        self.finished = False
        self.ended = threading.Event()


def _filler(sound: _Sound, module: Any) -> Any:
    def fill(out: Any, count: int, _time: Any, _status: Any) -> None:
        if sound.stopped:
            out[:] = bytes(len(out))
            raise module.CallbackAbort
        piece = sound.frames[2 * sound.at : 2 * (sound.at + count)]
        out[: len(piece)] = piece
        sound.at += count
        if len(piece) < len(out):
            out[len(piece) :] = bytes(len(out) - len(piece))
            sound.finished = True
            raise module.CallbackStop

    return fill


def _look_again() -> bool:
    """Let the library look for devices anew; safe only while this process has no stream open."""
    try:
        module = portaudio()
        module._terminate()
        module._initialize()
    except Exception:  # no library, or it refuses: there is nothing to look with
        return False
    return True
