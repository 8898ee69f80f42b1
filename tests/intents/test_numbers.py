"""The number grammar: every style that kitchens say, and back from our own speller."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from text_to_num import text2num

from intents.en.numbers import integers, readings, values
from intents.en.spell import say_digits, say_integer, say_number
from intents.words import BROKEN, tokenise

TENTHS = st.integers(-999, 9999).map(lambda n: Decimal(n) / 10)


@pytest.mark.parametrize(
    ("said", "number"),
    [
        ("one sixty five", "165"),
        ("two oh five", "205"),
        ("one six five", "165"),
        ("forty point five", "40.5"),
        ("a hundred and ten", "110"),
        ("one hundred ten", "110"),
        ("minus four", "-4"),
        ("four below", "-4"),
        ("eight below zero", "-8"),
        ("seven above", "7"),
        ("ten above zero", "10"),
        ("minus eighteen point five", "-18.5"),
        ("point five", "0.5"),
        ("oh point five", "0.5"),
        ("three and a half", "3.5"),
        ("forty and a half", "40.5"),
        ("two and a quarter", "2.25"),
        ("a buck fifty", "150"),
        ("twelve hundred", "1200"),
        ("one thousand two hundred", "1200"),
        ("four five", "45"),
        ("1-84", "184"),
        ("41s", "41"),
        ("$1.50", "150"),
        ("8 below 0", "-8"),
        ("thirty-eight point five", "38.5"),
        ("1 00", "100"),
    ],
)
def test_styles(said: str, number: str) -> None:
    """Each way of saying a number has exactly one meaning when it stands alone."""
    assert values(tokenise(said)) == {Decimal(number)}


@pytest.mark.parametrize("said", ["hundred", "0.2 hundred", "below", "minus", "point", "and a half", "oh"])
def test_no_number(said: str) -> None:
    """Words that belong to numbers but are none alone give nothing."""
    assert not values(tokenise(said))


@pytest.mark.parametrize("said", ["1,0001", "16-060", "8.2.5"])
def test_broken_numerals_stay_broken(said: str) -> None:
    """Digits that no person would write are never read as a number."""
    assert BROKEN in tokenise(said)


def test_two_numbers_in_a_row_are_both_offered() -> None:
    """ "two forty one" may be 241, or 2 and 41: both are offered, the single number first."""
    options = readings(("two", "forty", "one"))
    assert options[0] == (Decimal(241),)
    assert (Decimal(2), Decimal(41)) in options


@given(st.integers(0, 9999))
def test_spelled_integers_come_back(number: int) -> None:
    """What our speller says, our grammar understands."""
    assert number in integers(tuple(say_integer(number).split()))


@given(TENTHS)
def test_spelled_numbers_come_back(number: Decimal) -> None:
    """Signs and decimals survive the way to words and back, also between -1 and 0."""
    assert values(tokenise(say_number(number))) == {number}


@given(st.integers(10, 999))
def test_digits_come_back(number: int) -> None:
    """A read-back digit by digit is understood as the same number."""
    assert Decimal(number) in values(tokenise(say_digits(Decimal(number))))


@given(st.integers(0, 999))
def test_second_opinion(number: int) -> None:
    """The library text2num agrees with our speller and grammar on plainly spoken numbers."""
    assert text2num(say_integer(number), "en") == number
