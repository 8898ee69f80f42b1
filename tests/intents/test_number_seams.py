"""A count right behind another number is no part of it (invented sentences; the right cut by its words)."""

from __future__ import annotations

import pytest

from intents.language import language
from intents.number_seams import number_seams

_CASES = (
    ("fifty one | three quarts", "quarts"),
    ("one oh four | six pounds", "pounds"),
    ("one five one | three quarts", "quarts"),
    ("46 | 10 pounds", "pounds"),
    ("minus twelve | two cases", "cases"),
    ("ten five pound bags", "pound bags"),
    ("ten twenty five pound bags", "pound bags"),
    ("fifty one | ten five pound bags", "pound bags"),
    ("sixty two quarts", "quarts"),
    ("one twenty two quarts", "quarts"),
    ("fifteen hundred pounds", "pounds"),
    ("one one forty two box", "box"),
)


@pytest.mark.parametrize(("said", "counted"), _CASES)
def test_counts_behind_numbers(said: str, counted: str) -> None:
    words = tuple(said.replace("| ", "").split())
    units = {words.index(word) for word in counted.split()}
    held = {words.index(word) for word in counted.split()[-1:] if word in ("cases", "bags", "box")}
    cut = said.split().index("|") if "|" in said else None
    found = [*number_seams(words, units, held, language("en").numbers)]
    assert found == ([cut] if cut is not None else [])
