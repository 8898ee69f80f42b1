"""The live loop with scripted ears: addressing, attention, clips, a log that cannot be written."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from assistant.audio.frames import SampleSource, SourceState
from assistant.audio.player import SilentPlayer
from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE, Samples
from assistant.dialogue.conversation import Conversation
from assistant.errors import LogWriteError
from assistant.kitchen import Kitchen
from assistant.live.attention import Attention
from assistant.live.complete import completeness
from assistant.live.events import Answered, Event, Ignored, StateChanged
from assistant.live.loop import LiveLoop
from assistant.live.speaking import BargeIn, Mouth
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.site import Site
from assistant.speech.fake import ScriptedRecogniser
from assistant.speech.voice import SilentVoice, VoiceSettings
from intents.hypotheses import Hypotheses, Hypothesis
from intents.interpret import Interpreter

ROOT = Path(__file__).resolve().parents[2]
CLIP = ROOT / "audio_fixtures" / "demo" / "cook_why.flac"


@pytest.fixture
def kitchen(site: Site, log: Logbook, clock: SetClock, interpreter: Interpreter) -> Kitchen:
    """The example kitchen with an empty log."""
    return Kitchen(site, clock, log, Conversation(site, log, clock, interpreter))


def spoken(times: int, gap_s: float = 1.6) -> Samples:
    """Return synthetic speech ``times`` times with silence between: the script says what was said."""
    speech = read_sound(CLIP).samples
    silence = np.zeros(int(gap_s * RATE), np.int16)
    return np.concatenate([silence, *[part for _ in range(times) for part in (speech, silence)]])


def run(kitchen: Kitchen, said: list[str], gap_s: float = 1.6) -> list[Event]:
    """Let the loop hear each of ``said`` in turn, as fast as it can, and return its events without levels."""
    events: list[Event] = []
    scripts = [Hypotheses((Hypothesis(text),), 0.9, "scripted", "none") for text in said]
    loop: list[LiveLoop] = []

    def now() -> float:
        return loop[0]._at if loop else 0.0

    source = SampleSource(spoken(len(said), gap_s), clock=lambda: 0.0)
    mouth = Mouth(SilentVoice(), SilentPlayer(), now)
    loop.append(LiveLoop(kitchen, ScriptedRecogniser(scripts), source, mouth, events.append, now))
    loop[0].run()
    return [event for event in events if isinstance(event, Answered | Ignored)]


def heard(events: list[Event]) -> list[str]:
    """Return what was answered, and the reasons of what was ignored."""
    return [e.turn.heard if isinstance(e, Answered) else f"({e.reason})" for e in events]  # type: ignore[union-attr]


def test_wake_phrase_then_follow_up_then_sleep(kitchen: Kitchen) -> None:
    """Without the phrase nothing happens; after an answer a follow-up needs none."""
    said = ["where does the ground beef go", "hey kitchen where does the ground beef go", "and the turkey"]
    assert heard(run(kitchen, said)) == ["(not addressed)", *said[1:]]


def test_attention_ends(kitchen: Kitchen) -> None:
    """After a while the wake phrase is needed again."""
    said = ["hey kitchen where does the ground beef go", "and the turkey"]
    assert heard(run(kitchen, said, gap_s=12.0)) == [said[0], "(not addressed)"]


def test_unaddressed_readings_are_never_logged(kitchen: Kitchen) -> None:
    """Kitchen talk that reads like a reading is not for the assistant."""
    run(kitchen, ["walk in thirty eight", "quat bucket two hundred"])
    assert kitchen.log.views.count() == 0


def test_a_reading_keeps_its_clip(kitchen: Kitchen) -> None:
    """What is logged keeps the sound of that utterance and no other."""
    run(kitchen, ["hey kitchen where does the ground beef go", "hey kitchen quat bucket two hundred"])
    (line,) = kitchen.log.lines()
    assert line.entry.clip is not None
    assert kitchen.log.clip_path(line.entry.clip).is_file()
    assert len(list(kitchen.log.clips_folder.rglob("*.flac"))) == 1


def test_a_log_that_cannot_be_written_is_said_aloud(
    kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch
) -> None:
    """ "Logged" is never said before the commit; a fault is said at once."""

    def refuse(*_: object) -> None:
        raise LogWriteError("The disk is full. Free some room.")

    monkeypatch.setattr(kitchen.log, "append", refuse)
    (event,) = run(kitchen, ["hey kitchen quat bucket two hundred"])
    assert isinstance(event, Answered)
    assert event.turn.reply.startswith("I can't write the log")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("hey kitchen", "open"),
        ("hey kitchen walk in", "open"),
        ("hey kitchen walk in thirty eight", "complete"),
        ("hey kitchen where does the ground beef go", "complete"),
        ("hey kitchen does the chicken go over the", "open"),
    ],
)
def test_completeness(interpreter: Interpreter, text: str, expected: str) -> None:
    """A place without its number waits longer; a whole command ends soon."""
    assert completeness(text, interpreter, "hey kitchen") == expected


def test_attention_windows() -> None:
    """A question of ours keeps the ear open longer than an answer; "stop" closes it."""
    attention = Attention("hey kitchen")
    attention.answered(100.0, asks=False)
    assert attention.awake(107.0)
    assert not attention.awake(109.0)
    attention.answered(200.0, asks=True)
    assert attention.awake(212.0)
    attention.sleep()
    assert not attention.awake(201.0)


def test_barge_in_needs_more_than_the_echo() -> None:
    """Our own echo never interrupts us; somebody much louder does, within a syllable."""
    from assistant.audio.frames import Block

    echo = Block(np.full(480, 1000, np.int16), 0.0)
    voice = Block(np.full(480, 9000, np.int16), 0.0)
    barge = BargeIn()
    barge.begin()
    assert not any(barge.accept(echo, RATE) for _ in range(200))
    assert any(barge.accept(voice, RATE) for _ in range(8))


@pytest.mark.parametrize("spoken_over", [True, False])
def test_what_is_said_over_us_is_heard_to_its_end(spoken_over: bool) -> None:
    """Cut off by a voice, the ear opens at once; cut off by the switch, our own last echo is left out."""
    from assistant.audio.frames import Block

    voice = ScriptedVoice()
    mouth = Mouth(voice, SilentPlayer(real_time=True), lambda: 100.0)
    mouth.say("a long answer")
    assert mouth.hears_itself(Block(np.zeros(480, np.int16), 100.0))
    mouth.stop(spoken_over=spoken_over)
    assert mouth.hears_itself(Block(np.zeros(480, np.int16), 100.1)) is not spoken_over


class ScriptedVoice(SilentVoice):
    """A voice whose every answer is ten seconds of a tone."""

    def samples(self, text: str, settings: VoiceSettings | None = None) -> Samples:
        """Return the tone."""
        return np.full(10 * self.rate, 1000, np.int16)


def test_states_are_told(kitchen: Kitchen) -> None:
    """Whoever watches sees the state change."""
    events: list[Event] = []
    scripts = [Hypotheses((Hypothesis("hey kitchen why"),), 0.9, "scripted", "none")]
    source = SampleSource(spoken(1), clock=lambda: 0.0)
    mouth = Mouth(SilentVoice(), SilentPlayer(), lambda: 0.0)
    LiveLoop(kitchen, ScriptedRecogniser(scripts), source, mouth, events.append, lambda: 0.0).run()
    states = [event.state for event in events if isinstance(event, StateChanged)]
    assert {"hearing", "thinking"} <= set(states)


class Unplugged(SampleSource):
    """A microphone that is gone until it is back."""

    state = SourceState.LOST


def test_a_lost_microphone_is_told_once(kitchen: Kitchen) -> None:
    """However often the loop looks: only a change of the state or of what is wrong is told."""
    events: list[Event] = []
    source = Unplugged(np.zeros(0, np.int16), clock=lambda: 0.0)
    mouth = Mouth(SilentVoice(), SilentPlayer(), lambda: 0.0)
    loop = LiveLoop(kitchen, ScriptedRecogniser([]), source, mouth, events.append, lambda: 0.0)
    problems = ["It was unplugged.", "Another program holds it."]
    for problem in problems:
        source.problem = problem
        for _ in range(3):
            loop._idle()
    source.state = SourceState.RUNNING
    loop._idle()
    told = [(e.state, e.note) for e in events if isinstance(e, StateChanged)]
    assert told == [*(("no microphone", problem) for problem in problems), ("sleeping", "")]
