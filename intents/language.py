"""A language's own code, behind three small protocols: its numbers, its clock times, its spelling aloud.

``intents/<code>/numbers.py``, ``clock.py`` and ``spell.py`` fill them; everything else of a language is
tables. Adding a language is adding that folder.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib import import_module
from importlib.resources import files
from typing import Protocol, cast

Words = tuple[str, ...]


class NumberGrammar(Protocol):
    """Numbers as they are said. Every meaning of a run of words is returned; the caller decides."""

    ONE: frozenset[str]
    """Words that stand for one before a unit ("a gallon")."""
    OF: frozenset[str]
    """Words that may stand between a number and its unit ("half a gallon", "two of")."""
    HALF_OF: frozenset[Words]
    """What stands for a half before a unit ("half a")."""
    AND_A_HALF: frozenset[Words]
    """What adds a half after a unit ("and a half")."""
    RANGE_WORDS: frozenset[str]
    """Words between the two ends of a range ("to")."""

    def is_numeral(self, word: str) -> bool:
        """True for digits as written."""
        ...

    def is_number_word(self, word: str) -> bool:
        """True when ``word`` can begin or continue a number all by itself."""
        ...

    def values(self, words: Words) -> frozenset[Decimal]:
        """Return every value that all of ``words`` together can mean."""
        ...

    def integers(self, words: Words) -> frozenset[int]:
        """Return every whole number without a sign that all of ``words`` can mean."""
        ...

    def numbers_from(self, words: Words, start: int) -> tuple[tuple[int, frozenset[Decimal]], ...]:
        """Return ``(end, values)`` for every number that can begin at ``start``, the longest first."""
        ...

    def written(self, text: str) -> str:
        """Return written ``text`` with its decimal mark as a point."""
        ...

    def number_words(self) -> frozenset[str]:
        """Return every word of the grammar, for a recogniser's vocabulary."""
        ...


class ClockGrammar(Protocol):
    """Clock times as they are said."""

    def clock_from(
        self, words: Words, at: int, marked: bool, unit_at: Callable[[int], bool]
    ) -> tuple[int, str] | None:
        """Return the end and the time ("14:30", "02:30?" without am or pm) of a clock time at ``at``.

        ``marked`` tells that a word before it ("at", "since") makes a bare number a time; ``unit_at`` tells
        whether a unit begins at a word, which makes it a measure.
        """
        ...


class Speller(Protocol):
    """Numbers and replies spelled for the ear."""

    def for_eye(self, text: str) -> str:
        """Return a rendered reply as shown."""
        ...

    def for_ear(self, text: str) -> str:
        """Return a rendered reply as words for the voice."""
        ...

    def say_integer(self, number: int) -> str:
        """Spell a whole number."""
        ...


@dataclass(frozen=True)
class Language:
    """The code of one language."""

    code: str
    numbers: NumberGrammar
    clock: ClockGrammar
    spell: Speller


@cache
def languages() -> tuple[str, ...]:
    """Return the codes of the language packs that are there, in order."""
    packs = (entry for entry in files("intents").iterdir() if (entry / "numbers.py").is_file())
    return tuple(sorted(pack.name for pack in packs))


@cache
def language(code: str) -> Language:
    """Return the code of a language pack; raises ``ModuleNotFoundError`` for one that does not exist."""

    def part(name: str) -> object:
        return import_module(f"intents.{code}.{name}")

    return Language(
        code,
        cast(NumberGrammar, part("numbers")),
        cast(ClockGrammar, part("clock")),
        cast(Speller, part("spell")),
    )
