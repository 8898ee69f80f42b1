"""Numbers whose last words count something: "one seventy, two trays" is 170, and two of something."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from intents.language import language
from intents.lexicon import Lexicon
from intents.mentions import Measure, Understanding

CONTAINER = "container_word"
_DIGITS, _FAR = range(1, 10), 20
"""A number of things is told of in one digit; degrees of one food lie no further apart (judgement)."""
MOST_COUNTED = 12
"""More trays or pans than this are not counted in a breath with a temperature (judgement)."""


def is_count(value: Decimal, told: Sequence[Decimal]) -> bool:
    """True for the three of "seventy, seventy two and seventy one, all three good": told of one food.

    ``told`` are all its numbers.
    """
    others = [other for other in told if other != value]
    return value in _DIGITS and bool(others) and all(abs(other - value) >= _FAR for other in others)


def without_count(heard: Understanding, number: Measure) -> Measure:
    """Return a number that stands before a container without the words that count it."""
    counts = any(span.value == CONTAINER and span.start == number.end for span in heard.concepts)
    if not counts or number.end - number.start < 2:
        return number
    grammar, words = language(heard.language).numbers, heard.words
    for end, values in grammar.numbers_from(words, number.start):
        many = grammar.values(words[end : number.end])
        if end < number.end and len(values) == 1 and any(0 < n <= MOST_COUNTED for n in many):
            return replace(number, options=tuple(values), end=end)
    return number


def of_all(words: tuple[str, ...], lexicon: Lexicon) -> set[int]:
    """Return where the four of "all four one seventy" stands: a count, and behind it a number of its own.

    "All two hundred" and "all three forty" may be numbers, and are.
    """
    grammar, found = language(lexicon.language).numbers, set[int]()
    for at in range(1, len(words) - 1):
        if words[at - 1] not in lexicon.list("plural_each"):
            continue
        many = any(1 < n <= MOST_COUNTED for n in grammar.values(words[at : at + 1]))
        longest = max((end for end, _ in grammar.numbers_from(words, at + 1)), default=at)
        if many and longest > at and not grammar.values(words[at:longest]):
            found.add(at)
    return found
