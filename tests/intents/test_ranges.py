"""Ranges as kitchens say them, on labels and between strip blocks."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intents.en.spell import say_integer
from intents.ranges import range_after, range_at


@pytest.mark.parametrize(
    ("said", "low", "high"),
    [
        ("two to four hundred", 200, 400),
        ("two hundred to four hundred", 200, 400),
        ("200 400", 200, 400),
        ("fifty and a hundred", 50, 100),
        ("fifty and the hundred", 50, 100),
        ("one fifty to four hundred", 150, 400),
    ],
)
def test_a_range_is_read_as_meant(said: str, low: int, high: int) -> None:
    """A lone digit before hundreds counts as hundreds; numerals may stand side by side."""
    span = range_at(tuple(said.split()), 0)
    assert span is not None
    assert (int(span.low), int(span.high)) == (low, high)


@pytest.mark.parametrize(
    "said", ["four hundred to two hundred", "fifty", "fifty gallons to go", "and a hundred"]
)
def test_no_range_is_made_up(said: str) -> None:
    """Falling ends, single numbers and other words give nothing."""
    assert range_at(tuple(said.split()), 0) is None


def test_the_range_after_a_word_is_found() -> None:
    """Small words may stand between the label and its figures."""
    span = range_after(("label", "is", "from", "two", "to", "four", "hundred"), 1)
    assert span is not None
    assert (int(span.low), int(span.high), span.end) == (200, 400, 7)


@given(st.integers(10, 900), st.integers(1, 99))
def test_every_spelled_range_is_read_back(low: int, width: int) -> None:
    """Both ends come back exactly, however they are spelled."""
    words = tuple(f"{say_integer(low)} to {say_integer(low + width)}".split())
    span = range_at(words, 0)
    assert span is not None
    assert (span.low, span.high) == (Decimal(low), Decimal(low + width))
