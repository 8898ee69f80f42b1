"""Speech while others talk on: answered when it is whole and the sound falls back to the others' level."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from assistant.audio.frames import Block, SampleSource
from assistant.audio.player import SilentPlayer
from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE, Samples
from assistant.audio.voice_activity import probabilities_of, speech_spans
from assistant.dialogue.conversation import Conversation
from assistant.kitchen import Kitchen
from assistant.live.complete import completeness
from assistant.live.events import Answered, Event, Ignored
from assistant.live.loop import LiveLoop
from assistant.live.lull import Lull
from assistant.live.speaking import Mouth
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.site import Site
from assistant.speech.fake import ScriptedRecogniser
from assistant.speech.voice import SilentVoice
from audio_fixtures import noise
from intents.hypotheses import Hypotheses, Hypothesis
from intents.interpret import Interpreter

CLIPS = Path(__file__).resolve().parents[2] / "audio_fixtures"
CLIP = CLIPS / "demo" / "cook_ground_beef.flac"
BEFORE_S, AFTER_S = 1.0, 9.0
GO = "hey kitchen where does the ground beef go"


class StreamingScript(ScriptedRecogniser):
    """Words that come out at their seconds of the sound it was fed with, and all of them at the end."""

    streams = True

    def __init__(self, script: list[tuple[float, str]], woken: bool = False) -> None:
        super().__init__([])
        self._timed, self._woken, self._fed = script, woken, 0

    def start(self) -> None:
        self._fed = 0

    def accept(self, frames: bytes | Samples) -> None:
        self._fed += len(frames)

    def partial(self) -> str:
        return next((words for at, words in reversed(self._timed) if self._fed >= at * RATE), "")

    def woken(self) -> bool:
        return self._woken and bool(self.partial())

    def finish(self) -> Hypotheses:
        words = self.partial()
        return Hypotheses((Hypothesis(words),) if words else (), 0.9, "scripted", "none", woken=self.woken())


@pytest.fixture
def kitchen(site: Site, log: Logbook, clock: SetClock, interpreter: Interpreter) -> Kitchen:
    """The example kitchen with an empty log."""
    return Kitchen(site, clock, log, Conversation(site, log, clock, interpreter))


def babble(near: bool = True) -> tuple[Samples, float]:
    """Return six people talking, one 10 dB louder in front of them if ``near``, and when that one ends."""
    speech = read_sound(CLIP).samples.astype(np.float32) / np.float32(32768)
    ends = BEFORE_S + np.flatnonzero(np.abs(speech) > 0.02)[-1] / RATE
    speech = np.pad(speech, (int(BEFORE_S * RATE), int(AFTER_S * RATE)))
    people = [
        read_sound(path).samples.astype(np.float32) / np.float32(32768)
        for path in CLIPS.glob("chatter/*.flac")
    ]
    others = noise.make("babble", len(speech) / RATE + 1, 4, people)[: len(speech)]
    sound = noise.mix(speech, others, 10.0)
    level = np.sqrt(noise.active_power(speech)) / 10**0.5
    sound = sound if near else np.asarray(level * others, np.float32)
    return np.rint(np.clip(sound, -1, 1) * 32767).astype(np.int16), ends


def run(
    kitchen: Kitchen, ear: StreamingScript, sound: Samples, awake: bool = False
) -> list[tuple[float, str]]:
    """Hear ``sound``; return the second and the words of each answer, or the reason of none in brackets."""
    events: list[tuple[float, str]] = []
    loop: list[LiveLoop] = []

    def now() -> float:
        return loop[0]._at if loop else 0.0

    def watch(event: Event) -> None:
        if isinstance(event, Answered | Ignored):
            words = event.turn.heard if isinstance(event, Answered) else f"({event.reason})"
            events.append((now(), words))

    def blocks() -> Iterator[Block]:
        for at in range(0, len(sound), 480):
            yield Block(sound[at : at + 480], (at + 480) / RATE)

    source = SampleSource(np.zeros(0, np.int16), clock=lambda: 0.0)
    loop.append(LiveLoop(kitchen, ear, source, Mouth(SilentVoice(), SilentPlayer(), now), watch, now))
    if awake:
        loop[0].attention.wake(0.0)
    for block in blocks():
        loop[0].step(block)
        if any(not words.startswith("(") for _, words in events):
            break
    return events


def rises(sound: Samples) -> list[float]:
    """Return the seconds at which ``sound`` rises above what came before."""
    lull, found = Lull(), list[float]()
    for at in range(0, len(sound), 480):
        lull.accept(sound[at : at + 480])
        if lull.rose():
            found.append((at + 480) / RATE)
    return found


def test_somebody_nearer_is_a_rise() -> None:
    """Where one begins to speak 10 dB above six others, the sound rises; steady noise never does."""
    sound, _ = babble()
    others = sound[-6 * RATE :]
    begins = 6 + BEFORE_S
    assert any(begins < at < begins + 1.0 for at in rises(np.concatenate([others, sound])))
    steady = np.random.default_rng(1).normal(0, 800, 10 * RATE).astype(np.int16)
    assert not rises(steady)


def test_the_sound_never_falls_silent() -> None:
    """The others alone are speech to the voice activity, for longer than the loop's own pauses."""
    sound, ends = babble()
    spans = speech_spans(probabilities_of(sound[int(ends * RATE) :]))
    assert max(end - begun for begun, end in spans) * 0.032 > 5


def test_a_whole_sentence_is_answered_while_others_talk_on(kitchen: Kitchen) -> None:
    """Its end is where its words stand still and the sound falls."""
    sound, ends = babble()
    ((at, words),) = run(kitchen, StreamingScript([(0.5, "hey kitchen"), (1.5, GO)]), sound)
    assert words == GO
    assert ends < at < ends + 2


def test_an_unfinished_sentence_waits_for_its_rest(kitchen: Kitchen) -> None:
    """A place without its number is not answered before the number comes, more than a second later."""
    sound, ends = babble()
    script = [(ends, "hey kitchen walk in"), (ends + 1.2, "hey kitchen walk in thirty eight")]
    ((_, words),) = run(kitchen, StreamingScript(script), sound)
    assert words == script[-1][1]


def test_a_number_that_may_go_on_is_not_cut(kitchen: Kitchen) -> None:
    """ "Thirty" ... "eight" is one number, also with half a second between them."""
    sound, ends = babble()
    script = [(ends, "hey kitchen walk in thirty"), (ends + 0.5, "hey kitchen walk in thirty eight")]
    ((_, words),) = run(kitchen, StreamingScript(script), sound)
    assert words == script[-1][1]


def test_chatter_is_never_answered_and_its_words_are_not_recorded(kitchen: Kitchen) -> None:
    """A whole reading, said near the microphone to somebody else, is dropped."""
    sound, _ = babble()
    events = run(kitchen, StreamingScript([(1.0, "walk in thirty eight degrees")]), sound)
    assert {words for _, words in events} <= {"(not addressed)", "(too long)"}
    assert kitchen.log.views.count() == 0


def test_a_follow_up_is_answered_only_where_somebody_near_spoke(kitchen: Kitchen) -> None:
    """Without the phrase the same words count beside the microphone, and do not out of the others' talk."""
    script = [(1.0, "where does the turkey go")]
    near, far = babble()[0], babble(near=False)[0]
    assert run(kitchen, StreamingScript(script), near, awake=True)[-1][1] == script[0][1]
    events = run(kitchen, StreamingScript(script), far, awake=True)
    assert script[0][1] not in {words for _, words in events}


class WokenLate(StreamingScript):
    """Hears the phrase after so many seconds, and is then given the sound since shortly before it again."""

    def __init__(self, at: float, then: list[tuple[float, str]]) -> None:
        super().__init__([(0.5, "two of them")])
        self._woken_at, self._then = at, then

    def start(self) -> None:
        if self._fed:
            self._timed, self._woken = self._then, True
        super().start()

    def woken(self) -> bool:
        return self._woken or self._fed >= self._woken_at * RATE


def test_a_phrase_after_long_talk_begins_the_utterance(kitchen: Kitchen) -> None:
    """What others said before the wake phrase is not part of the utterance, nor of its longest time."""
    talk, _ = babble(near=False)
    near, ends = babble()
    ear = WokenLate(at=12.0, then=[(1.5, GO)])
    ((at, words),) = run(kitchen, ear, np.concatenate([talk[: 11 * RATE], near]))
    assert words == GO.removeprefix("hey kitchen ")
    assert 11 + ends < at < 11 + ends + 2


MAY_GO_ON = ["walk in two", "walk in thirty", "chicken one sixty", "quat bucket two hundred", "walk in 30"]


@pytest.mark.parametrize("said", MAY_GO_ON)
def test_numbers_that_may_go_on(interpreter: Interpreter, said: str) -> None:
    """After a bare digit, tens or hundreds more may come."""
    assert completeness(said, interpreter, "hey kitchen") == "number"


@pytest.mark.parametrize("said", ["walk in thirty eight", "chicken one sixty five", "freezer minus two"])
def test_numbers_that_are_whole(interpreter: Interpreter, said: str) -> None:
    """After a digit behind tens nothing comes."""
    assert completeness(said, interpreter, "hey kitchen") == "complete"


def test_words_after_a_phrase_within_other_talk_are_judged(interpreter: Interpreter) -> None:
    """What was said before the phrase, or how the phrase was written, does not make a sentence unfinished."""
    text = "and then she hey kitchen walk in"
    assert completeness(text, interpreter, "hey kitchen", woken=True) == "open"
    assert completeness(f"{text} thirty eight", interpreter, "hey kitchen", woken=True) == "complete"


def test_the_fall_is_measured_in_decibels() -> None:
    """A tenth of the amplitude is 20 dB, whatever the blocks' length."""
    lull = Lull()
    loud = np.full(480, 5000, np.int16)
    lull.hear("walk in")
    for block in [loud] * 40 + [loud // 10] * 40:
        lull.accept(block)
    assert lull.lasts_s(19.0) == pytest.approx(0.9, abs=0.05)  # the level is a mean over 0.3 s
    assert lull.lasts_s(21.0) < 0.05


@pytest.mark.parametrize(("words", "whole"), [("", True), ("hot behind", False)])
def test_a_moment_of_noise_before_the_near_speaker_is_not_cut(words: str, whole: bool) -> None:
    """Then what was recognised ahead is still good; somebody's words before are cut."""
    lull = Lull()
    quiet, loud = np.full(480, 500, np.int16), np.full(480, 5000, np.int16)
    for block in [quiet] * 45 + [loud] * 30 + [quiet] * 30:
        lull.accept(block)
        lull.hear(words)
    assert (lull.near(6.0).start == 0) is whole


def test_the_near_speaker_is_cut_out() -> None:
    """Others before and after are left out, a pause within the sentence is not."""
    lull = Lull()
    quiet, loud = np.full(480, 500, np.int16), np.full(480, 5000, np.int16)
    parts = [quiet] * 200 + [loud] * 30 + [quiet] * 30 + [loud] * 30 + [quiet] * 60
    for block in parts:
        lull.accept(block)
    near = np.concatenate(parts)[lull.near(6.0)]
    assert np.count_nonzero(near == 5000) == 60 * 480
    assert len(near) / RATE == pytest.approx(2.7 + 2 * 0.5, abs=0.4)
