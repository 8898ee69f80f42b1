"""Figures of labels, strips and jugs as they are said in one breath."""

from __future__ import annotations

from decimal import Decimal

import pytest

from intents.figures import bare_numbers, first_range, label_said
from intents.interpret import Interpreter


@pytest.mark.parametrize(
    ("said", "low", "high"),
    [
        ("strip says five hundred and our label is two to four hundred", 200, 400),
        ("the label says two hundred", 200, 400),  # one figure: from it up, to the most that any label asks
        ("label reads fifty to a hundred", 50, 100),
    ],
)
def test_a_label_read_aloud(said: str, low: int, high: int, interpreter: Interpreter) -> None:
    """The figures after the label's name are its range."""
    found = label_said(interpreter.interpret(said).heard)
    assert found is not None
    assert (found.low, found.high) == (low, high)


def test_no_label_no_range(interpreter: Interpreter) -> None:
    """A strip's number alone is no label."""
    heard = interpreter.interpret("the strip says two hundred").heard
    assert label_said(heard) is None
    assert first_range(heard) is None
    assert [value for value, _ in bare_numbers(heard)][:1] == [Decimal(200)]


def test_the_range_of_a_strip(interpreter: Interpreter) -> None:
    """A colour between two blocks is the range between them."""
    found = first_range(interpreter.interpret("between one hundred and two hundred").heard)
    assert found is not None
    assert (found.low, found.high) == (100, 200)
