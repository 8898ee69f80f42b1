"""What the loop makes of looks for the wake phrase: they are taken in time, and what they show is obeyed."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.audio.frames import Block, SampleSource
from assistant.audio.player import SilentPlayer
from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE, Samples
from assistant.dialogue.conversation import Conversation
from assistant.kitchen import Kitchen
from assistant.live.events import Answered, Event, Ignored
from assistant.live.loop import LiveLoop
from assistant.live.speaking import Mouth
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.site import Site
from assistant.speech.calls import Call
from assistant.speech.fake import ScriptedRecogniser
from assistant.speech.voice import SilentVoice
from audio_fixtures.voices import FOLDER
from intents.hypotheses import Hypotheses, Hypothesis
from intents.interpret import Interpreter

CLIP = FOLDER / "demo" / "cook_ground_beef.flac"
QUESTION = "where does the ground beef go"


class Looking(ScriptedRecogniser):
    """Writes ``words`` in the end, and shows a call from the look at so much sound on, if at all."""

    streams = True

    def __init__(self, words: str, called_from_s: float | None, spotted: bool = False) -> None:
        super().__init__([])
        self.words, self.called_from_s, self.spotted = words, called_from_s, spotted
        self.looks: list[float] = []
        self.decoded = 0
        self._fed = 0

    def start(self) -> None:
        self._fed, self.looks = 0, []

    def reset(self) -> None:
        super().reset()
        self._fed = 0

    def accept(self, frames: bytes | Samples) -> None:
        self._fed += len(frames)

    def partial(self) -> str:
        return "[unk]"

    def woken(self) -> bool:
        return self.spotted

    def ahead(self) -> None:
        self.decoded += 1

    def look(self) -> None:
        self.looks.append(self._fed / RATE)

    def call(self, wait: bool = False) -> Call:
        if not self.looks:
            return Call.OPEN
        called = self.called_from_s is not None and self.looks[-1] >= self.called_from_s
        return Call.YES if called else Call.NO

    def finish(self) -> Hypotheses:
        self.decoded += 1
        return Hypotheses((Hypothesis(self.words),), 0.9, "scripted", "none", woken=self.spotted)


@pytest.fixture
def kitchen(site: Site, log: Logbook, clock: SetClock, interpreter: Interpreter) -> Kitchen:
    """The example kitchen with an empty log, called by a phrase that no listener writes."""
    own = site.model_copy(update={"kitchen": site.kitchen.model_copy(update={"wake_phrase": "view glass"})})
    return Kitchen(own, clock, log, Conversation(own, log, clock, interpreter))


def hear(
    kitchen: Kitchen, ear: Looking, times: int = 1, pause_s: float = 0.0, awake: bool = False
) -> list[str]:
    """Let the loop hear a clip so many times; return what was answered, or why not in brackets."""
    events: list[str] = []
    at = [0.0]

    def watch(event: Event) -> None:
        if isinstance(event, Answered | Ignored):
            events.append(event.turn.heard if isinstance(event, Answered) else f"({event.reason})")

    source = SampleSource(np.zeros(0, np.int16), clock=lambda: 0.0)
    mouth = Mouth(SilentVoice(), SilentPlayer(), lambda: at[0])
    loop = LiveLoop(kitchen, ear, source, mouth, watch, lambda: at[0])
    if awake:
        loop.attention.wake(0.0)
    clip = read_sound(CLIP).samples
    spoken = clip[: np.flatnonzero(np.abs(clip.astype(np.int32)) > 300)[-1]]
    said = [part for _ in range(times) for part in (spoken, np.zeros(round(pause_s * RATE), np.int16))]
    sound = np.pad(np.concatenate(said), (RATE, 2 * RATE))
    for begin in range(0, len(sound), 480):
        at[0] = (begin + 480) / RATE
        loop.step(Block(sound[begin : begin + 480], at[0]))
    return events


def test_what_does_not_open_with_the_phrase_is_not_decoded(kitchen: Kitchen) -> None:
    """Nobody called: the looks are all that is computed, whatever the words would have been."""
    ear = Looking(f"view glass {QUESTION}", None)
    assert hear(kitchen, ear) == ["(not addressed)"]
    assert ear.decoded == 0


def test_a_call_is_obeyed_however_it_is_written(kitchen: Kitchen) -> None:
    """The listener wrote "few glass", and the words behind it are answered."""
    assert hear(kitchen, Looking(f"few glass {QUESTION}", 1.8)) == [QUESTION]


def test_a_call_that_only_began_like_the_phrase_is_taken_back(kitchen: Kitchen) -> None:
    """More sound showed that it was none: the last look counts."""

    class TakenBack(Looking):
        def call(self, wait: bool = False) -> Call:
            return Call.YES if self.looks and self.looks[-1] < 1.5 else Call.NO

    assert hear(kitchen, TakenBack(f"view glass {QUESTION}", None)) == ["(not addressed)"]


def test_the_phrase_after_other_words_still_counts(kitchen: Kitchen) -> None:
    """Found by the spotter and written by the other one, behind somebody's talk."""
    ear = Looking(f"corner behind you view glass {QUESTION}", None, spotted=True)
    assert hear(kitchen, ear) == [QUESTION]


def test_a_rhyme_that_is_written_as_the_phrase_does_nothing(kitchen: Kitchen) -> None:
    """Both listeners took it for the phrase in the end, and the looks did not: it opens, so they count."""
    assert hear(kitchen, Looking(f"view glass {QUESTION}", None, spotted=True)) == ["(not addressed)"]


def test_looks_are_few(kitchen: Kitchen) -> None:
    """At three lengths and in the first pauses, however long somebody talks."""
    ear = Looking(QUESTION, None)
    kept: list[float] = []
    ear.look = lambda: kept.append(ear._fed / RATE)  # type: ignore[method-assign]
    hear(kitchen, ear)
    assert 1 <= len(kept) <= 5
    assert kept == sorted(kept)


def test_a_call_soon_after_talk_opens_an_utterance_of_its_own(kitchen: Kitchen) -> None:
    """Somebody else has just spoken: half a second later the phrase is looked for anew."""

    class SecondTime(Looking):
        begun = 0

        def start(self) -> None:
            super().start()
            self.begun += 1

        def call(self, wait: bool = False) -> Call:
            called = super().call(wait)
            return called if self.begun > 1 or called is Call.OPEN else Call.NO

    assert hear(kitchen, SecondTime(f"view glass {QUESTION}", 1.0), 2, 0.5) == ["(not addressed)", QUESTION]


def test_a_follow_up_does_not_wait_for_looks(kitchen: Kitchen) -> None:
    """While no phrase is needed none is looked for: the words would be decoded later."""
    ear = Looking(QUESTION, None)
    assert hear(kitchen, ear, awake=True) == [QUESTION]
    assert ear.looks == []
