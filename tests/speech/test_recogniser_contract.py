"""What every recogniser must do, run on all: Whisper and Vosk with real models, both together, the script."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pytest

from assistant.audio.utterance import RATE, Utterance
from assistant.speech.fake import ScriptedRecogniser
from assistant.speech.pair import PairRecogniser
from assistant.speech.recogniser import Recogniser, recognise
from assistant.speech.vocabulary import Vocabulary
from assistant.speech.vosk import VoskRecogniser, VoskSettings
from assistant.speech.whisper import WhisperRecogniser
from models.manifest import shipped_folder

pytestmark = pytest.mark.sound

SMALL = shipped_folder() / "kitchen_en"
WORDS = Vocabulary(words="where does the ground beef go water freezer".split())


@dataclass
class Subject:
    """A recogniser with the sound of a sentence that it should understand, and a word expected in it."""

    recogniser: Recogniser
    sound: np.ndarray
    word: str

    @cached_property
    def words(self) -> str:
        """All words that it hears in the sound."""
        return recognise(self.recogniser, Utterance(self.sound)).best


@pytest.fixture(scope="module", params=["whisper", "vosk alternatives", "vosk words", "pair", "script"])
def subject(request, voice, said) -> Iterator[Subject]:
    """Load each recogniser once."""
    kind = request.param
    if kind == "whisper":
        made: Recogniser = WhisperRecogniser()
        yield Subject(made, said("where does the ground beef go").samples, "beef")
    elif kind == "pair":
        partner = VoskRecogniser(SMALL, own_phrases=True)
        made = PairRecogniser(WhisperRecogniser(), partner)
        yield Subject(made, said("where does the ground beef go").samples, "beef")
    elif kind == "script":
        made = ScriptedRecogniser(["where does the ground beef go"] * 100)
        yield Subject(made, said("where does the ground beef go").samples, "beef")
    else:
        mode = "words" if kind == "vosk words" else "alternatives"
        made = VoskRecogniser(SMALL, WORDS, VoskSettings(mode=mode), model="small")
        yield Subject(made, said("where does the ground beef go").samples, "beef")
    made.close()


def test_it_names_itself(subject):
    """The log keeps engine and model."""
    result = recognise(subject.recogniser, Utterance(subject.sound))
    assert (result.engine, result.model) == (subject.recogniser.name, subject.recogniser.model)
    assert result.engine
    assert result.model


def test_it_understands_a_sentence(subject):
    """The expected word is in the best hypothesis, whose share is the greatest."""
    result = recognise(subject.recogniser, Utterance(subject.sound))
    assert subject.word in result.best
    shares = [hypothesis.share for hypothesis in result.alternatives]
    assert shares == sorted(shares, reverse=True)
    assert all(0 < share <= 1 for share in shares)
    assert sum(shares) <= 1 + 1e-9
    assert 0 < result.confidence <= 1
    assert all(spent >= 0 for spent in result.timings_ms.values())


@pytest.mark.parametrize("step", [160, 511, 4800, 10**6])
def test_the_size_of_frames_does_not_matter(subject, step):
    """Frames of 10 ms, odd sizes or all at once give the same words, as bytes or as samples."""
    expected = subject.words
    subject.recogniser.start()
    for at in range(0, len(subject.sound), step):
        frames = subject.sound[at : at + step]
        subject.recogniser.accept(frames.tobytes() if at % 2 else frames)
    assert subject.recogniser.finish().best == expected


def test_the_frames_may_be_overwritten_afterwards(subject):
    """A caller may reuse its buffer: the recogniser keeps no reference to it."""
    expected = subject.words
    subject.recogniser.start()
    buffer = np.zeros(len(subject.sound), np.int16)
    buffer[:] = subject.sound
    subject.recogniser.accept(buffer)
    buffer[:] = 0
    assert subject.recogniser.finish().best == expected


@pytest.mark.parametrize("length", [0, 1, RATE])
def test_silence_is_nothing(subject, length):
    """No speech, no hypothesis, and the advice says why."""
    result = recognise(subject.recogniser, Utterance(np.zeros(length, np.int16)))
    assert result.alternatives == ()
    assert result.best == ""
    assert result.confidence == 0
    assert result.advice == "no_speech"


def test_noise_is_nothing(subject):
    """Steady noise gives no words either."""
    noise = np.random.default_rng(5).normal(0, 4000, 2 * RATE).astype(np.int16)
    assert recognise(subject.recogniser, Utterance(noise)).alternatives == ()


def test_a_reset_drops_what_was_said(subject):
    """After a reset the utterance begins anew."""
    subject.recogniser.start()
    subject.recogniser.accept(subject.sound)
    subject.recogniser.reset()
    assert subject.recogniser.partial() == ""
    assert subject.recogniser.finish().alternatives == ()


def test_finishing_twice_gives_nothing_the_second_time(subject):
    """No utterance is acted on twice."""
    recognise(subject.recogniser, Utterance(subject.sound))
    assert subject.recogniser.finish().alternatives == ()


def test_utterances_do_not_leak_into_each_other(subject):
    """The same sound gives the same words again, after other sounds and an unfinished utterance."""
    first = recognise(subject.recogniser, Utterance(subject.sound)).best
    subject.recogniser.start()
    subject.recogniser.accept(subject.sound[: len(subject.sound) // 2])
    assert recognise(subject.recogniser, Utterance(subject.sound)).best == first


def test_the_partial_result_grows_to_words(subject):
    """While somebody speaks, something can be shown; it is no decision."""
    subject.recogniser.start()
    assert subject.recogniser.partial() == ""
    subject.recogniser.accept(np.append(subject.sound, np.zeros(RATE // 2, np.int16)))
    assert subject.recogniser.partial() != ""
    subject.recogniser.reset()


@pytest.mark.parametrize(
    "frames",
    [b"odd", np.zeros(4, np.float32), np.zeros((2, 2), np.int16)],
    ids=["odd bytes", "floats", "stereo"],
)
def test_wrong_frames_are_refused(subject, frames):
    """Wrong sound is an error, not silent nonsense."""
    subject.recogniser.start()
    with pytest.raises(ValueError, match=r"frames|buffer size"):
        subject.recogniser.accept(frames)
    subject.recogniser.reset()


def test_warming_up_leaves_nothing_behind(subject):
    """The first real utterance hears nothing of it."""
    subject.recogniser.warm_up()
    assert subject.recogniser.finish().alternatives == ()


def test_what_it_lacks_is_a_list_of_words(subject):
    """Doctor shows this list; these models know every word they were given."""
    assert subject.recogniser.lacking() == ()


def test_the_fixture_speaks_as_promised(said: Callable[..., Utterance]):
    """The sentences used above are really synthetic speech, not silence."""
    assert np.abs(said("where does the ground beef go").samples.astype(int)).max() > 3000
