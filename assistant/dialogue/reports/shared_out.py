"""The parts of a breath that the solver shares out: names, numbers, which is whose, and what it costs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

Key = tuple[str, str, int]
"""Kind, name and batch of what a number can be of."""


@dataclass(frozen=True, slots=True)
class Name:
    """Words that name one of ``can_be``; ``cost`` is what it costs to hear them so.

    ``after``: only behind a place of this family. ``aspect``: the words are what was measured there.
    """

    start: int
    end: int
    can_be: tuple[Key, ...]
    cost: float = 0.0
    aspect: bool = False
    after: str = ""
    several: bool = False  # all of ``can_be`` are meant, in their order
    listed: bool = False  # each of them is told: "one and two"
    sure: bool = False  # the words are nothing else

    @property
    def food(self) -> bool:
        """True for a food."""
        return self.can_be[0][0] == "food"


@dataclass(frozen=True, slots=True)
class Span:
    """Words that may be one number."""

    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Match:
    """A number with what it is of, and the value that it has there."""

    key: Key
    number: Span
    value: Decimal
    name: Name | None = None
    place: Key | None = None
    read: Span | None = None  # the words of the value, where "the same" is said in their stead


@dataclass(frozen=True, slots=True)
class Told:
    """What was said, as far as the solver has to know it: each set holds places of words.

    ``fits`` gives the value of a number as one of a key, or nothing; ``anew`` tells a number that takes the
    one before it back, ``taken_back`` that words between two numbers do so, ``meant`` a name that takes the
    one of a number back, ``topic`` what a number of nothing named is of. ``same`` are the words that stand
    for another's number, with whose it is.
    """

    size: int
    names: tuple[Name, ...]
    numbers: tuple[Span, ...]
    small: frozenset[int]
    joins: frozenset[int]
    states: frozenset[int]
    into: frozenset[int]
    each: frozenset[int]
    articles: frozenset[int]
    cuts: frozenset[int]
    alone: frozenset[int]
    numerals: frozenset[int]
    kinds: Mapping[Key, str]
    spoken_of: tuple[Key, ...]
    opened: bool
    opens: bool
    fits: Callable[[Key, Name | None, Span], Decimal | None]
    anew: Callable[[Span, Span], bool]
    taken_back: Callable[[Span, Span], bool]
    meant: Callable[[Span, Name], bool]
    topic: Callable[[Span], Key | None]
    same: Mapping[Span, Key | None] = field(default_factory=dict)
    timed: bool = False  # numbers of one place have each its time
    plural: frozenset[int] = frozenset()  # where "are" stands
    digits: frozenset[int] = frozenset()  # where one digit stands alone, also in a name
    resumed: frozenset[int] = frozenset()  # where "it is" stands before


@dataclass(frozen=True, slots=True)
class Solution:
    """One way to share the numbers, and what it costs."""

    cost: float = 0.0
    pairs: tuple[Match, ...] = ()
    unnumbered: tuple[Name, ...] = ()
    lost: tuple[Span, ...] = ()
    replaced: tuple[Span, ...] = ()
    waiting: tuple[Name, ...] = field(default=())
    row: bool = False
    held: Span | None = None
    stated: bool = False  # what is held was told of a name before it: "the drawers are forty"
    family: str = ""
    behind: int = 0  # where the last name or number ended

    @property
    def told(self) -> frozenset[tuple[Key, bool, Decimal]]:
        """What it comes to, however it was found."""
        return frozenset((m.key, m.name is not None and m.name.aspect, m.value) for m in self.pairs)


def family(key: Key) -> str:
    """Return the name that numbered places have in common; nothing for others."""
    head, _, tail = key[1].rpartition(" ")
    return head if key[0] == "equipment" and tail.isdecimal() else ""
