"""Two listeners as one: who streams, who writes, and what is kept apart."""

import threading

import numpy as np
import pytest

from assistant.speech.calls import Call
from assistant.speech.fake import ScriptedRecogniser
from assistant.speech.pair import PairRecogniser
from intents.hypotheses import Hypotheses, Hypothesis

SILENCE = np.zeros(160, np.int16)


class Listener(ScriptedRecogniser):
    """Hears one thing whatever the sound; ``partial`` waits until it may go on."""

    def __init__(self, text: str, streams: bool = False, woken: bool = False) -> None:
        super().__init__([])
        self.text, self.streams, self.by_itself = text, streams, woken
        self.may_go_on = threading.Event()
        self.may_go_on.set()

    def partial(self) -> str:
        """Return the text when allowed."""
        assert self.may_go_on.wait(10)
        return self.text

    def woken(self) -> bool:
        """As told."""
        return self.by_itself

    def finish(self) -> Hypotheses:
        """Return the text."""
        heard = (Hypothesis(self.text),) if self.text else ()
        return Hypotheses(heard, 1.0, self.name, self.model, woken=self.by_itself, timings_ms={"decode": 1.0})


@pytest.fixture
def listeners():
    """A slow one and a streaming one."""
    return Listener("walk in 38"), Listener("walk in thirty eight", streams=True, woken=True)


def test_what_each_heard_stays_apart(listeners):
    """The words are the first's; the second's stand beside them; both are named."""
    pair = PairRecogniser(*listeners)
    pair.start()
    pair.accept(SILENCE)
    heard = pair.finish()
    assert heard.best == "walk in 38"
    assert heard.second == (Hypothesis("walk in thirty eight"),)
    assert (heard.engine, heard.woken) == ("scripted+scripted", True)
    assert heard.timings_ms == {"decode": 1.0, "partner_decode": 1.0}
    pair.close()


def test_a_partner_that_heard_nothing_is_not_no_partner(listeners):
    """Nothing heard is an opinion too: a number then needs a question."""
    listeners[1].text = ""
    pair = PairRecogniser(*listeners)
    pair.start()
    assert pair.finish().second == ()
    pair.close()


def test_words_stream_while_the_other_still_works(listeners):
    """``ahead`` returns at once, its words come when they are done, and a new utterance forgets them."""
    first, second = listeners
    first.may_go_on.clear()
    pair = PairRecogniser(first, second)
    pair.start()
    pair.ahead()
    assert pair.streams
    assert pair.partial() == "walk in thirty eight"
    assert pair.ahead_words() == ""
    first.may_go_on.set()
    pair.finish()
    pair.ahead()
    while not pair.ahead_words():
        pass
    assert pair.ahead_words() == "walk in 38"
    pair.start()
    assert pair.ahead_words() == ""
    pair.close()


def test_a_fault_of_the_working_thread_reaches_the_caller(listeners):
    """It is not swallowed: the live loop must not go on deaf."""

    def fail():
        raise RuntimeError("no memory")

    listeners[0].partial = fail
    pair = PairRecogniser(*listeners)
    pair.start()
    pair.ahead()
    with pytest.raises(RuntimeError, match="no memory"):
        pair.finish()
    pair.close()


def test_work_that_became_stale_is_not_begun(listeners):
    """Of several pauses only the last one's sound is decoded, behind what is being decoded already."""
    first, second = listeners
    begun: list[str] = []
    first.may_go_on.clear()
    partial = first.partial
    first.partial = lambda: (begun.append("decoding"), partial())[1]
    pair = PairRecogniser(first, second)
    pair.start()
    for _ in range(4):
        pair.ahead()
    first.may_go_on.set()
    assert pair.finish().best == "walk in 38"
    pair.close()
    assert len(begun) <= 2


def test_a_speaker_who_seems_done_is_heard_as_if_silence_followed(listeners):
    """What comes meanwhile is kept from the words, and is heard after all if the speaker goes on."""
    taken: list[np.ndarray] = []
    listeners[0].accept = taken.append
    listeners[0].start = taken.clear
    said, others = np.full(160, 9, np.int16), np.full(160, 5, np.int16)
    pair = PairRecogniser(*listeners)
    pair.start()
    pair.accept(said)
    pair.over()
    pair.accept(others)
    assert np.count_nonzero(np.concatenate(taken)) == len(said)
    pair.go_on()
    assert np.array_equal(np.concatenate(taken), np.concatenate([said, others]))
    pair.close()


class Opinionated(Listener):
    """Gives one opinion on what opens the sound: less of it where nobody speaks, as the writer does."""

    opinion: float | None = None

    def opening(self, samples, phrase):
        """As told; a loud sound is somebody who speaks."""
        return self.opinion if self.opinion is None or np.abs(samples).max() > 5000 else -18.0


@pytest.mark.parametrize(
    ("written", "margin", "call"), [(3.0, 0.0, Call.YES), (-5.0, None, Call.YES), (-9.0, 20.0, Call.NO)]
)
def test_a_look_asks_both(written, margin, call):
    """The writer's opinion against its own habit, and the spotter's; none before the first look."""
    words, partner = Opinionated("view glass"), Opinionated("", streams=True)
    words.opinion, partner.opinion = written, margin
    pair = PairRecogniser(words, partner, "view glass")
    pair.start()
    pair.accept(np.full(16_000, 9000, np.int16))
    assert pair.call() is Call.OPEN
    pair.look()
    assert pair.call(wait=True) is call
    pair.start()
    assert pair.call() is Call.OPEN
    pair.close()


def test_without_a_phrase_the_words_tell(listeners):
    """Nobody looks for a call that has no phrase."""
    pair = PairRecogniser(*listeners)
    pair.start()
    pair.look()
    assert pair.call(wait=True) is Call.BY_WORDS
    pair.close()
