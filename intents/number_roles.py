"""What a number is of that nobody read off: a difference, a shelf, an order, what a thermostat is set to.

One table (``number_roles.toml``) tells them by the words around them. They are no reading, no time and
nothing that was left unused.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from intents.language import language
from intents.lexicon import load_lexicon
from intents.patterns import NUMBER, pattern_of

if TYPE_CHECKING:
    from intents.mentions import Understanding

Of = Literal["difference", "thing", "count"]
_BEHIND = ("list_joins", "prepositions", "asides", "before_time", "after_time", "told_now", "short_small")
"""Lists of words that nobody counts."""


@dataclass(frozen=True, slots=True)
class _Row:
    """One row of the table."""

    name: str
    role: Of
    pattern: str
    most: int = 10**9
    ends: bool = False


@dataclass(frozen=True, slots=True)
class OtherNumber:
    """Words from ``start`` to ``end`` that hold a number of something else."""

    role: Of
    start: int
    end: int


@cache
def _table() -> tuple[_Row, ...]:
    text = Path(__file__).with_name("number_roles.toml").read_text(encoding="utf-8")
    return tuple(_Row(**row) for row in tomllib.loads(text)["role"])


def other_numbers(heard: Understanding) -> tuple[OtherNumber, ...]:
    """Return the numbers that nobody read off, the longest words at each place, in their order."""
    if not any(heard.numbers_from(at) for at in range(len(heard.words))):
        return ()
    found = sorted((each for row in _table() for each in _found(row, heard)), key=lambda o: (o.start, -o.end))
    kept: list[OtherNumber] = []
    for each in found:
        if not kept or each.start >= kept[-1].end:
            kept.append(each)
    return tuple(kept)


def words_of_others(heard: Understanding, *roles: Of) -> set[int]:
    """Return where the words of numbers stand that nobody read off, of ``roles`` where any are given."""
    others = (each for each in other_numbers(heard) if not roles or each.role in roles)
    return {i for each in others for i in range(each.start, each.end)}


def _found(row: _Row, heard: Understanding) -> Iterator[OtherNumber]:
    """Give where a row is said: of a whole number, in one clause, and not of a place's name."""
    grammar, words = language(heard.language).numbers, heard.words
    named = {i for s in heard.names.get("equipment", ()) for i in range(s.start, s.end)}
    lexicon = load_lexicon(heard.language)
    small, articles = lexicon.small(*_BEHIND), lexicon.list("deed_articles")
    spans = ((at, end) for at, ends in pattern_of(row.pattern, heard.language).every(heard) for end in ends)
    for start, end in spans:
        runs = [(at, *n) for at in range(start, end) for n in heard.numbers_from(at) if n[0] <= end]
        at, until, values = max(runs, key=lambda run: (run[1] - run[0], -run[0]))
        before = words[at - 1] if at and at not in heard.breaks and at - 1 not in named else ""
        torn = row.pattern.startswith(NUMBER) and before and grammar.is_number_word(before)
        torn = torn or (row.role == "count" and before in articles)  # "the two of them" are all
        more = end not in heard.breaks and any(map(grammar.is_number_word, words[end : end + 1]))
        goes_on = row.role == "difference" and until == end and more
        apart = bool(heard.breaks & {*range(start + 1, end)}) or bool(named & {*range(start, end)})
        ended = end == len(words) or end in heard.breaks or words[end] in small
        if min(values) <= row.most and not (torn or goes_on or apart or (row.ends and not ended)):
            yield OtherNumber(row.role, start, end)
