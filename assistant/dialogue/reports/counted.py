"""Numbers that nobody read off, and those whose last words count something: "one seventy, two trays"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from intents.language import language
from intents.lexicon import Lexicon
from intents.meaning import Role
from intents.mentions import Measure, Understanding

CONTAINER = "container_word"
NOT_READ = ("limit", "reason", "condition")
"""Roles of numbers that nobody read off."""
_AMOUNTS = ("weight", "volume")
_TWO = 2
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
    if not counts or number.end in heard.breaks or number.end - number.start < 2:
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


def counts(said: Understanding, role: Role, end: int) -> bool:
    """True where the net hears a count, and no amount stands right behind: "fifty one, three quarts"."""
    held = {span.start for span in said.concepts if span.value == CONTAINER}
    amount = (m for m in said.measures if m.start == end and end in said.breaks)
    return role == "count" and not any(m.kind in _AMOUNTS or m.end in held for m in amount)


def not_read(said: Understanding, role: Role, at: int, lexicon: Lexicon) -> bool:
    """True for a number that nobody read off: not for "..., it's five" and "..., three is forty"."""
    before, states = {*said.words[max(0, at - 1) : at]}, lexicon.list("present_is") & lexicon.list("read_at")
    if role not in NOT_READ or not before & states:
        return role in NOT_READ
    place = language(lexicon.language).numbers.is_number_word(said.words[at - _TWO]) if at >= _TWO else False
    opens = at - _TWO in said.breaks or {*said.words[max(0, at - 3) : at - _TWO]} & lexicon.list("list_joins")
    return role != "reason" and not (place and opens)
