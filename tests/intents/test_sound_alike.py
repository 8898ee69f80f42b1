"""A misspelt place or trade word is put right; nothing else ever is."""

from __future__ import annotations

import pytest

from intents.interpret import Interpreter
from intents.sound_alike import SoundAlikes

WORDS = SoundAlikes(["freezer", "bucket", "buckets", "chlorine", "washer"], ["the", "is", "freeze", "wash"])


def test_one_unknown_word_is_put_right() -> None:
    """A word that means nothing and is like a name becomes it."""
    assert WORDS.corrected(("the", "freezr", "is")) == ("the", "freezer", "is")


@pytest.mark.parametrize("said", ["the wash is", "the bison is", "the bukket freezr is", "the frz is"])
def test_known_unlike_short_and_several_words_stay(said: str) -> None:
    """A known word, one like no name, a short one, or two unknown words are left alone."""
    assert WORDS.corrected(tuple(said.split())) is None


@pytest.mark.parametrize(
    "said", ["steem table one forty", "loyboy two thirty eight", "chlorin bucket a hundred"]
)
def test_a_reading_with_a_misspelt_place(interpreter: Interpreter, said: str) -> None:
    """The place is known though a recogniser spelt it badly, and the words heard stay as heard."""
    read = interpreter.interpret(said)
    assert read.readings.options
    assert read.heard.text == said


@pytest.mark.parametrize("said", ["how hot for the brisquet", "where does the chiken go"])
def test_a_food_is_never_guessed(interpreter: Interpreter, said: str) -> None:
    """A misspelt food stays unknown and gets the stricter answer."""
    assert not interpreter.interpret(said).heard.names["food"]
