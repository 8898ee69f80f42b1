"""The whole program on real sound devices made in software: clips go in by microphone, answers come out.

All speech here is synthetic. Skipped where no sound server can be started; .ci/run installs one.
"""

from __future__ import annotations

import signal
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from assistant.speech.voice import open_voice
from tests.live.program import (
    CLIPS,
    RATE,
    TRIES,
    Program,
    Recording,
    Sound,
    Turn,
    kitchen,
    loud_frames,
    readings,
    until,
)
from tests.sound_server import SoundServer, need_sound_server

pytestmark = pytest.mark.live


@pytest.fixture
def sound() -> Iterator[SoundServer]:
    """A running sound server."""
    need_sound_server()
    server = SoundServer()
    yield server
    server.close()


@pytest.fixture
def speaker(sound: SoundServer, tmp_path: Path) -> Iterator[Recording]:
    """What comes out of the speaker."""
    recording = Recording(sound, tmp_path / "spoken.raw")
    yield recording
    recording.close()


@pytest.fixture
def program(sound: SoundServer, speaker: Recording, tmp_path: Path) -> Iterator[Program]:
    """The program, listening."""
    running = Program(sound, tmp_path / "state")
    yield running
    running.end()


def test_wake_follow_up_and_log(program: Program, speaker: Recording) -> None:
    """The wake phrase is needed once; a follow-up needs none; a reading is logged; the answers sound."""
    program.sound.say(CLIPS / "demo" / "cook_ground_beef.flac").wait()
    time.sleep(6)  # nothing to wait for: it must stay without an answer
    assert program.turns == []
    first, spoken = _asked_with_follow_up(program, speaker)
    assert first["intent"] == "storage_place"
    words = _recognised(spoken)
    assert "155" in words or "one hundred fifty five" in words, (
        words
    )  # the number of the first answer, as a listener hears it
    turn = program.logs("demo/wake_setup_quat_200", speaker)
    assert [(e["subject"], e["value"]) for e in turn["entries"]] == [("quat bucket", "200")]
    assert readings(program.state) == [("quat bucket", "200", True)]


def _asked_with_follow_up(program: Program, speaker: Recording) -> tuple[Turn, Sound]:
    """Ask, hear the answer out, ask on without the wake phrase; return the first turn and its sound."""
    for _ in range(TRIES):
        mark = speaker.mark()
        first = program.answers("demo/wake_cook_ground_beef")
        spoken = speaker.answer(mark)
        mark = speaker.mark()
        follow_up = program.hears("demo/cook_and_the_turkey")
        if follow_up is not None:
            assert follow_up["slots"]["food"] == "turkey"
            speaker.answer(mark)
            return first, spoken
    raise AssertionError(f"no follow-up was heard; turns: {program.turns}")


def _recognised(spoken: Sound) -> str:
    """Recognise a recorded answer again with the embedded recogniser."""
    from assistant.audio.utterance import Utterance
    from assistant.speech.recogniser import recognise
    from assistant.speech.whisper import WhisperRecogniser

    return recognise(WhisperRecogniser(), Utterance(spoken[: RATE * 25])).best


def test_stop_cuts_an_answer_off(program: Program, speaker: Recording) -> None:
    """ "Stop", said over an answer, ends it long before its end; nothing is logged; the program goes on."""
    for _ in range(TRIES):
        mark = speaker.mark()
        answer = program.answers("demo/wake_cook_thaw_chicken")
        until(lambda start=mark: speaker.sounds(start), lambda: "the answer does not sound")  # type: ignore[misc]
        stopped = program.hears("interrupt/stop", lambda turn: turn["intent"] == "stop")
        cut = speaker.answer(mark)
        if stopped is not None:
            break
    assert stopped is not None, program.turns
    assert _loud_s(cut) < 0.7 * _loud_s(_whole(answer["speech"]))
    assert readings(program.state) == []
    assert program.answers("demo/wake_cook_ground_beef")["intent"] == "storage_place"


def _whole(words: str) -> Sound:
    """Return an answer as it sounds when nobody interrupts it, at 16 kHz."""
    from assistant.audio.sound_files import resample

    voice = open_voice()
    samples = resample(voice.samples(words).astype(np.float32) / np.float32(32768), voice.rate)
    voice.close()
    return samples


def _loud_s(sound: Sound) -> float:
    return float(loud_frames(sound).sum()) / 50


def test_a_microphone_that_vanishes_and_returns(
    speaker: Recording, sound: SoundServer, tmp_path: Path
) -> None:
    """Unplugged it is said, plugged in again it is heard again, and the log stays whole."""
    wall = SoundServer(sinks=("mic",))
    wall.name_devices(wall_microphone=(wall, "mic.monitor"), pass_speaker=(sound, "speaker"))
    program = Program(wall, tmp_path / "state", "wall_microphone", "pass_speaker")
    try:
        program.logs("demo/wake_setup_walk_in_38", speaker)
        told = len(program.told)
        wall.remove_microphone()
        program.until(lambda: program.tells("no microphone: ", told))
        assert readings(program.state) == [("walk-in", "38", True)]
        wall.add_microphone()
        program.until(lambda: program.tells("The microphone is back", told))
        program.logs("demo/wake_setup_quat_200", speaker)
    finally:
        program.end()
        wall.close()
    assert readings(program.state) == [("walk-in", "38", True), ("quat bucket", "200", True)]
    assert kitchen(program.state, "log", "verify")[0]["ok"]


def test_kill_in_mid_utterance_and_restart(program: Program, speaker: Recording) -> None:
    """A kill -9 while somebody speaks loses nothing that was logged; the restarted program goes on."""
    program.logs("demo/wake_setup_walk_in_38", speaker)
    logged = readings(program.state)
    assert logged == [("walk-in", "38", True)]
    talker = program.sound.say(CLIPS / "demo" / "wake_setup_quat_200.flac")
    time.sleep(0.8)  # in the middle of the clip
    program.end(signal.SIGKILL)
    talker.wait()
    assert readings(program.state) == logged
    again = Program(program.sound, program.state)
    try:
        assert again.answers("demo/wake_cook_ground_beef")["intent"] == "storage_place"
    finally:
        again.end()
