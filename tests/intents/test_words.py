"""Signs and fractions as written mean the same in every language: what is lost of one is a wrong number."""

from __future__ import annotations

from decimal import Decimal

import pytest

from intents.language import language, languages
from intents.words import BROKEN, tokenise

WRITTEN = {
    "-4": "-4",
    "−4": "-4",  # U+2212, as programs write it
    "–4": "-4",  # an en dash
    "-4½": "-4.5",
    "38½": "38.5",
    "38 ½": "38.5",
    "38 1/2": "38.5",
    "38¼": "38.25",
    "38 3/4": "38.75",
    "38⅛": "38.125",
    "½": "0.5",
}
"""Arithmetic."""


@pytest.mark.parametrize("code", languages())
@pytest.mark.parametrize("text", WRITTEN)
def test_a_sign_or_fraction_is_never_lost(code: str, text: str) -> None:
    """Whatever the language, "freezer -4" is no 4 and "38 1/2" no 38."""
    numbers = language(code).numbers
    assert numbers.values(tokenise(numbers.written(text))) == {Decimal(WRITTEN[text])}


@pytest.mark.parametrize("text", ["38⅓", "38 1/3", "38 2/3", "⅔"])
def test_a_third_is_no_number_of_a_log(text: str) -> None:
    """It has no exact decimal: nothing is read out of it."""
    assert BROKEN in tokenise(text)


def test_other_strokes_stay() -> None:
    """A date or a half alone is no mixed number."""
    assert tokenise("3 11/30") == ("3", "11", "30")
    assert tokenise("1/2 hour") == ("1/2", "hour")
