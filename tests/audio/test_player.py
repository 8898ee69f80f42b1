"""Players tell by value whether anything sounded; the signals are short, soft at their edges and distinct."""

import sys

import numpy as np
import pytest

from assistant.audio import player as module
from assistant.audio.earcon import earcon
from assistant.audio.player import SilentPlayer, SpeakerPlayer, play_file
from assistant.audio.sound_files import write_wav
from assistant.audio.utterance import RATE
from assistant.errors import MissingError


def test_without_a_speaker_the_reason_comes_back(monkeypatch):
    """No exception, no sound, one sentence."""

    def none(name, direction):
        raise MissingError("this machine has no speaker; plug one in")

    monkeypatch.setattr(module, "find_device", none)
    player = SpeakerPlayer()
    player.play(np.zeros(RATE, np.int16), RATE)
    assert not player.playing()
    played = player.wait()
    assert (played.sounded, played.finished) == (0.0, False)
    assert played.why == "this machine has no speaker; plug one in"


def test_without_the_library_the_reason_comes_back(monkeypatch, tmp_path):
    """A machine without PortAudio: playing a file says what to install."""
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    write_wav(tmp_path / "a.wav", np.zeros(100, np.int16))
    assert "PortAudio library is not on this machine" in play_file(tmp_path / "a.wav").why


def test_waiting_for_nothing_says_so():
    """Nothing was played."""
    assert SpeakerPlayer().wait().why == "nothing was played"


def test_the_silent_player_keeps_what_it_was_given_and_can_be_stopped():
    """In real time a sound lasts until it is over or stopped."""
    player = SilentPlayer(real_time=True)
    player.play(np.zeros(10 * RATE, np.int16), RATE)
    assert player.playing()
    player.stop()
    assert not player.playing()
    played = player.wait()
    assert played.sounded < 5
    assert not played.finished
    assert len(player.played) == 1


def test_the_silent_player_can_be_quick():
    """Without real time the sound is over at once, and counts as sounded."""
    player = SilentPlayer()
    player.play(np.zeros(RATE, np.int16), RATE)
    assert player.wait() == module.Played(1.0, True)


@pytest.mark.parametrize("kind", ["heard", "stopped", "problem"])
@pytest.mark.parametrize("rate", [16000, 22050, 48000])
def test_signals_are_short_soft_at_the_edges_and_not_clipped(kind, rate):
    """No click at either end, and over before the cook goes on."""
    sound = earcon(kind, rate)
    assert 0.1 < len(sound) / rate < 0.3
    assert abs(int(sound[0])) < 200
    assert abs(int(sound[-1])) < 1000
    assert 5000 < np.abs(sound.astype(int)).max() < 20000


def test_the_signals_rise_or_fall_so_that_they_are_told_apart():
    """Heard goes up, stopped goes down: the pitch of the halves, by zero crossings."""

    def pitches(kind):
        halves = np.array_split(earcon(kind, 48000).astype(int), 2)
        return [np.count_nonzero(np.diff(np.signbit(half))) for half in halves]

    rising, falling = pitches("heard"), pitches("stopped")
    assert rising[1] > 1.2 * rising[0]
    assert falling[0] > 1.2 * falling[1]


def test_volume_scales_a_signal():
    """Half the volume is half the level; none is silence."""
    loud, soft = (np.abs(earcon("heard", 16000, volume).astype(int)).max() for volume in (1.0, 0.5))
    assert soft == pytest.approx(loud / 2, abs=2)
    assert not earcon("heard", 16000, 0.0).any()
