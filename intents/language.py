"""A language's own code, behind three small protocols: its numbers, its clock times, its spelling aloud.

``intents/<code>/numbers.py``, ``clock.py`` and ``spell.py`` fill them; everything else of a language is
tables, with ``pack.toml`` at the head: the language's ``name``, and whether it is ``complete``. A partial
pack can be tried (``kitchen ask --language``) and is offered to nobody.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Collection
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Protocol, cast

import intents

Words = tuple[str, ...]


class NumberGrammar(Protocol):
    """Numbers as they are said. Every meaning of a run of words is returned; the caller decides.

    Words come as ``intents.words.tokenise`` makes them: small letters, no accents, hyphens opened
    ("meio-dia": meio, dia), "38,5" after ``written``: 38.5. A sign as written is an English word ("-4":
    minus, 4; "5%": 5, percent; "38°F": 38, degrees, fahrenheit; "#2": number, 2): the grammar takes "minus",
    the units the others.
    """

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
        """True when ``word`` is a number all by itself: no "and", "minus" or "point"."""
        ...

    def values(self, words: Words) -> frozenset[Decimal]:
        """Return every value that all of ``words`` together can mean."""
        ...

    def integers(self, words: Words) -> frozenset[int]:
        """Return every whole number without a sign that all of ``words`` can mean."""
        ...

    def numbers_from(self, words: Words, start: int) -> tuple[tuple[int, frozenset[Decimal]], ...]:
        """Return ``(end, values)`` for every number that can begin at ``start``, the longest first.

        A word that is also an article ("un", "uma") begins none all alone.
        """
        ...

    def written(self, text: str) -> str:
        """Return a whole sentence as written with its decimal marks as points and no mark of thousands."""
        ...

    def number_words(self) -> frozenset[str]:
        """Return every word of the grammar, for a recogniser's vocabulary."""
        ...


class ClockGrammar(Protocol):
    """Clock times as they are said, for the words of one utterance; ``quantities.toml`` says them once more.

    This one gives the clock of a place's reading and of a question; the table gives everything that a run of
    words may mean (spans, days and moments, too), for reports, corrections and "since when". Both are tested.
    """

    def clock_from(
        self, words: Words, at: int, marked: bool, unit_at: Callable[[int], bool]
    ) -> tuple[int, str] | None:
        """Return the end and the time ("14:30", "02:30?" without am or pm) of a clock time at ``at``.

        ``marked`` tells that a word before it ("at", "since") makes a bare number a time; ``unit_at`` tells
        whether a unit begins at a word, which makes it a measure.
        """
        ...


class Speller(Protocol):
    """Numbers and replies spelled for the ear.

    In a rendered reply stand figures with °F, °C, °, ppm, %, mL, L, h, min, psi, kg, lb and pH, decimals with
    a point, "1,200", "200-400", "1 1/2", "14:30" or "2:30 pm"; and ``⟦38⟧``, a number that is read back digit
    by digit.
    """

    def for_eye(self, text: str) -> str:
        """Return a rendered reply as shown: without the marks ``⟦⟧``."""
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


@dataclass(frozen=True)
class Pack:
    """A language pack as its ``pack.toml`` tells of it."""

    code: str
    name: str
    complete: bool
    folder: Path


class PackError(ValueError):
    """A language pack that cannot be used; the message names the file and what to mend."""


@cache
def packs() -> dict[str, Pack]:
    """Return every language pack by its code, the partial ones too, in order; raises ``PackError``.

    A pack is a folder with ``pack.toml`` in one of the folders of the package (``intents.__path__``).
    """
    heads = (head for parent in intents.__path__ for head in Path(parent).glob("*/pack.toml"))
    return {pack.code: pack for pack in map(_pack, sorted(heads, key=lambda head: head.parent.name))}


def _pack(head: Path) -> Pack:
    table = tomllib.loads(head.read_text(encoding="utf-8"))
    name, complete = table.get("name"), table.get("complete")
    if set(table) != {"name", "complete"} or not isinstance(name, str) or not isinstance(complete, bool):
        raise PackError(f'{head}: write name = "the language in English" and complete = true or false')
    return Pack(head.parent.name, name, complete, head.parent)


@cache
def languages() -> tuple[str, ...]:
    """Return the codes of the complete language packs, in order: those that a kitchen may speak."""
    return tuple(code for code, pack in packs().items() if pack.complete)


def data_folder(code: str) -> Path:
    """Return the folder of a language pack; raises ``PackError`` for one that is not there."""
    if code not in packs():
        raise PackError(f"there is no language pack '{code}'; there are: {', '.join(packs())}")
    return packs()[code].folder


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


def numbers_between(
    words: tuple[str, ...], at: int, breaks: Collection[int], grammar: NumberGrammar
) -> tuple[tuple[int, frozenset[Decimal]], ...]:
    """Return ``(end, values)`` of the numbers at ``at``, read between the commas around it, longest first."""
    low = max((each for each in breaks if each <= at), default=0)
    high = min((each for each in breaks if each > at), default=len(words))
    return tuple((end + low, values) for end, values in grammar.numbers_from(words[low:high], at - low))
