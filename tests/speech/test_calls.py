"""When an utterance opens with the wake phrase: the table on pure values, and two listeners on real sound."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import pytest

from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE, Samples
from assistant.speech.calls import Call, Opinions, log_odds, may_be_call, opens_with_call, spellings
from assistant.speech.engines import open_engine
from assistant.speech.recogniser import Recogniser
from assistant.speech.vocabulary import Vocabulary
from audio_fixtures.voices import FOLDER

KITCHEN, COMPUTER, GLASS = -4.3, -9.8, -18.0
"""Log-odds that the shipped listener gives to "hey kitchen", "computer" and "view glass" in faint noise."""


@pytest.mark.parametrize(
    ("written", "unsaid", "margin"),
    [
        (4.0, KITCHEN, 0.5),  # the kitchen's own phrase, in noise
        (-0.7, COMPUTER, 0.0),
        (3.0, GLASS, -20.0),  # a phrase that the spotter never learnt, plainly said
        (-5.5, GLASS, -3.0),  # said by somebody hard to understand: nothing else is like it
        (-4.0, GLASS, None),  # a phrase that the spotter cannot know
    ],
)
def test_calls(written: float, unsaid: float, margin: float | None) -> None:
    """A call is what adds enough to how readily the phrase is written anyhow."""
    assert opens_with_call(Opinions(written, unsaid, margin))


@pytest.mark.parametrize(
    ("written", "unsaid", "margin"),
    [
        (2.0, KITCHEN, 3.0),  # "hey pitch in": a listener for kitchen talk would like it to be the phrase
        (1.7, KITCHEN, -20.0),  # "hey kit's here"
        (-0.6, KITCHEN, 20.0),  # "hey kid, chin up": the spotter alone is not believed
        (-2.3, COMPUTER, -20.0),  # "pewter"
        (-7.0, GLASS, 20.0),  # "new glass"
        (-12.0, GLASS, None),
    ],
)
def test_no_calls(written: float, unsaid: float, margin: float | None) -> None:
    """Rhymes and talk: one listener's opinion is not enough where the other's speaks against it."""
    assert not opens_with_call(Opinions(written, unsaid, margin))


def test_the_second_listener_is_asked_only_where_it_matters() -> None:
    """What is written so unlikely is no call whatever the spotter says."""
    assert may_be_call(-6.9)
    assert not may_be_call(-7.0)
    assert not opens_with_call(Opinions(-7.0, -30.0, 20.0))


def test_log_odds() -> None:
    """ln(p / (1 - p)) by its definition, finite at both ends."""
    for share in (0.001, 0.5, 0.9, 0.999):
        assert log_odds(math.log(share)) == pytest.approx(math.log(share / (1 - share)))
    assert log_odds(0.0) < 31
    assert log_odds(-math.inf) == pytest.approx(-30)


def test_spellings() -> None:
    """As said, as a name, in one word; each once."""
    assert spellings("Hey, Kitchen!") == ("hey kitchen", "Hey Kitchen", "heykitchen")
    assert spellings("rosie") == ("rosie", "Rosie")


@pytest.fixture(scope="module", params=["quat bucket", "chlorine bucket", "rosebud"])
def listening(request: pytest.FixtureRequest) -> Iterator[tuple[str, Recogniser]]:
    """The shipped pair, listening for a phrase that neither was taught as one; the last lacks a word."""
    phrase = str(request.param)
    ear = open_engine(vocabulary=Vocabulary(wake_phrase=phrase))
    ear.warm_up()
    yield phrase, ear
    ear.close()


CLIPS = {
    "quat bucket": "sanitizer_reading/quat_bucket_four_hundred.flac",
    "chlorine bucket": "sanitizer_reading/chlorine_bucket_fifty.flac",
}


@pytest.mark.sound
def test_any_phrase_is_found_where_it_opens_the_sound(listening: tuple[str, Recogniser]) -> None:
    """Each of two clips is a call for the phrase that it opens with, and no other is."""
    phrase, ear = listening
    for opening, clip in CLIPS.items():
        assert _call(ear, read_sound(FOLDER / clip).samples) is (
            Call.YES if opening == phrase else Call.NO
        ), clip


@pytest.mark.sound
def test_noise_is_no_call(listening: tuple[str, Recogniser]) -> None:
    """Where nobody speaks nobody calls."""
    noise = np.random.default_rng(1).normal(0, 2000, 2 * RATE).astype(np.int16)
    assert _call(listening[1], noise) is Call.NO


def _call(ear: Recogniser, samples: Samples) -> Call:
    ear.start()
    assert ear.call() is Call.OPEN
    ear.accept(samples[: 2 * RATE])
    ear.look()
    return ear.call(wait=True)
