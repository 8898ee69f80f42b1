"""What an utterance mentions: no number is cut in two by a time before it or by a "one" that is a thing."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intents.en.spell import say_integer
from intents.lexicon import load_lexicon
from intents.mentions import understand
from intents.words import tokenise

TIMES = ("quarter past one", "ten to two", "half past six", "twenty past four", "quarter to eleven")
EN = load_lexicon("en")


@given(time=st.sampled_from(TIMES), number=st.integers(100, 400))
def test_a_number_behind_a_time_is_whole(time: str, number: int) -> None:
    """The hour of a time is no part of it; below a hundred "quarter past one thirty" may be either."""
    said = f"beans at {time} {say_integer(number)}"
    found = understand(said, EN, {}).measures
    assert [(m.value, m.end) for m in found] == [(Decimal(number), len(tokenise(said)))]


@pytest.mark.parametrize(
    ("said", "pounds"), [("the big one sixteen pounds", 16), ("one sixteen pounds of ham", 116)]
)
def test_a_one_that_is_a_thing_is_no_digit(said: str, pounds: int) -> None:
    """ "The big one, sixteen pounds" weighs sixteen pounds."""
    assert [m.value for m in understand(said, EN, {}).measures] == [Decimal(pounds)]
