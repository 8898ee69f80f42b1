"""Real capture and playback through PortAudio, with sound devices made in software."""

import subprocess
import sys
import time
from collections.abc import Iterator

import numpy as np
import pytest

from assistant.audio.frames import SourceState
from assistant.audio.microphone import Microphone
from assistant.audio.sound_files import read_sound, write_wav
from assistant.audio.utterance import RATE
from assistant.audio.voice_activity import probabilities_of, speech_spans
from tests.audio.arrival import babble, share_arrived
from tests.sound_server import SoundServer, need_sound_server

pytestmark = pytest.mark.live

PLAY = """
import sys, time
from assistant.audio.player import SpeakerPlayer
from assistant.audio.sound_files import read_sound
player = SpeakerPlayer("pulse")
player.play(read_sound(sys.argv[1]).samples, 16000)
if float(sys.argv[2]):
    time.sleep(float(sys.argv[2]))
    began = time.monotonic()
    player.stop()
    while player.playing():
        time.sleep(0.001)
    print("silent after", time.monotonic() - began, file=sys.stderr)
played = player.wait()
print(played.sounded, played.finished, played.why)
"""


@pytest.fixture
def server(monkeypatch: pytest.MonkeyPatch) -> Iterator[SoundServer]:
    """Run a sound server and lead this process' children to it."""
    need_sound_server()
    running = SoundServer()
    for name in ("HOME", "XDG_RUNTIME_DIR", "PULSE_SERVER", "PULSE_SOURCE", "PULSE_SINK"):
        monkeypatch.setenv(name, running.environment[name])
    yield running
    running.close()


@pytest.fixture
def microphone(server: SoundServer) -> Iterator[Microphone]:
    """Return the software microphone, capturing."""
    listening = Microphone("pulse")
    listening.start()
    assert wait_for(listening, SourceState.RUNNING, 30)
    yield listening
    listening.close()


def capture(microphone: Microphone, playing: subprocess.Popen[bytes]) -> np.ndarray:
    """Return what the microphone gives until the player is done, and a little after."""
    parts, until = [], time.monotonic() + 60
    while time.monotonic() < until:
        block = microphone.read(0.1)
        if block is not None:
            parts.append(block.samples)
        if playing.poll() is not None:
            until = min(until, time.monotonic() + 1.5)
    return np.concatenate([np.zeros(0, np.int16), *parts])


def wait_for(microphone: Microphone, state: SourceState, seconds: float) -> bool:
    """Read until the microphone has this state; tell whether it came."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        block = microphone.read(0.1)
        if microphone.state is state and (block is not None or state is SourceState.LOST):
            return True
    return False


def speech_seconds(samples: np.ndarray) -> float:
    """Return how long somebody speaks in ``samples``."""
    return sum(ended - begun for begun, ended in speech_spans(probabilities_of(samples))) * 512 / RATE


def test_a_clip_comes_through_the_microphone(server, microphone, clip, tmp_path):
    """Played into the device in real time, it arrives whole at 16 kHz, nothing lost."""
    words = clip("demo/cook_ground_beef")
    write_wav(tmp_path / "words.wav", words)
    playing = server.say(tmp_path / "words.wav")
    captured = capture(microphone, playing)
    assert playing.wait(timeout=20) == 0
    assert speech_seconds(captured) == pytest.approx(speech_seconds(words), rel=0.25)
    assert microphone.overflows == 0


@pytest.mark.parametrize(("goes", "returns"), [("unplug", "plug"), ("crash", "start")])
def test_a_microphone_that_vanishes_and_returns_is_found_again(
    server, microphone, clip, tmp_path, goes, returns
):
    """Gone it is lost, with a sentence; back it gives sound, the gap told in the first block."""
    words = clip("demo/cook_ground_beef")
    write_wav(tmp_path / "words.wav", words)
    getattr(server, goes)()
    assert wait_for(microphone, SourceState.LOST, 20)
    assert microphone.problem
    getattr(server, returns)()
    assert wait_for(microphone, SourceState.RUNNING, 30)
    playing = server.say(tmp_path / "words.wav")
    captured = capture(microphone, playing)
    assert playing.wait(timeout=20) == 0
    assert speech_seconds(captured) > 0.5 * speech_seconds(words)


def play(path, stop_after: float) -> list[str]:
    """Play a file in a process of its own and return what became of it."""
    done = subprocess.run(
        [sys.executable, "-c", PLAY, str(path), str(stop_after)],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    return done.stdout.split()


def test_what_is_played_comes_out_of_the_speaker(server, clip, tmp_path):
    """Recorded from the speaker, the words are there."""
    words = clip("demo/cook_ground_beef")
    write_wav(tmp_path / "words.wav", words)
    recording = server.record(tmp_path / "heard.wav")
    time.sleep(0.5)
    sounded, finished, *why = play(tmp_path / "words.wav", 0)
    time.sleep(0.5)
    recording.terminate()
    recording.wait(timeout=20)
    assert (float(sounded), finished, why) == (pytest.approx(len(words) / RATE), "True", [])
    assert speech_seconds(read_sound(tmp_path / "heard.wav").samples) == pytest.approx(
        speech_seconds(words), rel=0.25
    )


ANSWERS_S = (0.5, 1.0, 0.7, 2.0, 0.6)
"""Lengths of short answers: "No." to "Quat bucket, two hundred parts per million"."""
PLAY_ALL = """
import sys, time
from assistant.audio.player import SpeakerPlayer
from assistant.audio.sound_files import read_sound
player = SpeakerPlayer("pulse")
for path in sys.argv[1:]:
    player.play(read_sound(path).samples, 16000)
    assert player.wait().finished
    time.sleep(0.3)
"""


@pytest.mark.parametrize("busy", [0, 3])
def test_short_answers_arrive_whole(server, tmp_path, busy):
    """One after the other, also beside processes that take every core: at least 96 % of each arrives.

    "Quat bucket" must not arrive as "tuck it": neither head nor tail nor a gap between may be lost.
    """
    sounds = [babble(seconds, seed) for seed, seconds in enumerate(ANSWERS_S)]
    for number, sound in enumerate(sounds):
        write_wav(tmp_path / f"{number}.wav", sound)
    card = server.card()
    until = time.monotonic() + 60
    while not card.mark():
        assert time.monotonic() < until, "the card takes nothing"
        time.sleep(0.05)
    others = [subprocess.Popen([sys.executable, "-c", "while True: pass"]) for _ in range(busy)]
    try:
        command = [sys.executable, "-c", PLAY_ALL, *(str(tmp_path / f"{n}.wav") for n in range(len(sounds)))]
        subprocess.run(command, check=True, timeout=120, env=server.environment)
    finally:
        for other in others:
            other.kill()
            other.wait()
    time.sleep(0.5)
    played = card.since(0)
    assert [round(share_arrived(sound, played), 2) for sound in sounds] == pytest.approx([1.0] * 5, abs=0.04)


def test_a_stop_cuts_the_sound_off(server, clip, tmp_path):
    """Stopped after half a second of a long answer, the rest never comes out."""
    words = np.concatenate([clip("demo/cook_ground_beef")] * 4)
    write_wav(tmp_path / "words.wav", words)
    recording = server.record(tmp_path / "heard.wav")
    time.sleep(0.5)
    sounded, finished, *_ = play(tmp_path / "words.wav", 0.5)
    time.sleep(0.5)
    recording.terminate()
    recording.wait(timeout=20)
    assert finished == "False"
    assert float(sounded) < 2
    assert speech_seconds(read_sound(tmp_path / "heard.wav").samples) < 2
