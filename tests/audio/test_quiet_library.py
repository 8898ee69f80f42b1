"""Lines of the sound library are counted, not printed, and a speaker that runs short gets a larger buffer."""

from __future__ import annotations

import ctypes
import sys

import numpy as np
import pytest

from assistant.audio import player as module
from assistant.audio import quiet_library
from assistant.audio.player import SpeakerPlayer
from assistant.audio.utterance import RATE


@pytest.mark.skipif(sys.platform != "linux", reason="ALSA is Linux' sound library")
def test_what_the_library_says_is_not_on_the_terminal(capfd: pytest.CaptureFixture[str]) -> None:
    """A device that does not exist makes the real library talk; nothing of it is seen."""
    try:
        library = ctypes.CDLL("libasound.so.2")
    except OSError:
        pytest.skip("needs ALSA's library: install libasound2")
    quiet_library.keep_quiet()
    handle = ctypes.c_void_p()
    assert library.snd_pcm_open(ctypes.byref(handle), b"no-such-device", 0, 0) < 0
    assert capfd.readouterr().err == ""


def test_underruns_are_counted() -> None:
    """By the words in which the library tells of one; its other lines do not count."""
    before = quiet_library.underruns
    quiet_library._taken(b"pcm.c", 1, b"snd_pcm_recover", 0, b"%s occurred underrun")
    quiet_library._taken(b"pcm.c", 1, b"snd_pcm_open", 0, b"Unknown PCM %s")
    assert quiet_library.underruns == before + 1


class _Streams:
    """A sound library that takes everything and remembers what it was asked for."""

    PortAudioError = RuntimeError

    def __init__(self) -> None:
        self.asked: list[float] = []

    def check_output_settings(self, **_: object) -> None:
        """Accept."""

    def RawOutputStream(self, *, latency: float, **_: object) -> _Streams:  # noqa: N802
        """Return a stream."""
        self.asked.append(latency)
        return self

    def start(self) -> None:
        """Accept."""

    def abort(self, ignore_errors: bool) -> None:
        """Accept."""

    def close(self, ignore_errors: bool) -> None:
        """Accept."""


def test_a_speaker_that_ran_short_gets_a_larger_buffer(monkeypatch: pytest.MonkeyPatch) -> None:
    """Doubled after each sound that ran short, up to a limit, and left alone otherwise."""
    streams = _Streams()
    monkeypatch.setattr(module, "portaudio", lambda: streams)
    monkeypatch.setattr(module, "find_device", lambda *_: type("Device", (), {"index": 0, "rate": RATE}))
    monkeypatch.setattr(quiet_library, "underruns", 0)
    player = SpeakerPlayer()
    for short in (0, 1, 0, 1, 1, 1):
        player.play(np.zeros(100, np.int16), RATE)
        monkeypatch.setattr(quiet_library, "underruns", quiet_library.underruns + short)
    player.play(np.zeros(100, np.int16), RATE)
    assert streams.asked == [0.1, 0.1, 0.2, 0.2, 0.4, 0.4, 0.4]
