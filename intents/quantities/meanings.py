"""The things that a run of words can say of numbers and times: plain frozen values of no language."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar


@dataclass(frozen=True, slots=True)
class Number:
    """A number, every value that its words can mean (the largest first), and its unit if one was said.

    ``kind`` is "number" without a unit, else temperature, strength, percent, volume, weight, pressure,
    length, altitude, ph or count. ``unit`` is the unit's name in any language ("F", "ppm", "gallon",
    "portion"); empty for "degrees" alone.
    """

    values: tuple[Decimal, ...]
    kind: str = "number"
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Ordinal:
    """A place in a row: "third", "number two", "table nine" (``noun`` is then "number" or "table")."""

    values: tuple[int, ...]
    noun: str = ""


@dataclass(frozen=True, slots=True)
class Clock:
    """A time of day: the minute, and every hour from 0 to 23 that fits.

    Two hours where am or pm is open ("two thirty": 2 and 14), all 24 where the hour is left out
    ("twenty past"). ``worded`` tells that a word of time was said ("o'clock", "past", "noon", "2:30");
    without it the words are a plain number, too.
    """

    hours: tuple[int, ...]
    minute: int
    worded: bool = False

    @property
    def open(self) -> bool:
        """True while more than one hour of the day fits."""
        return len(self.hours) > 1


@dataclass(frozen=True, slots=True)
class Span:
    """How long: every number of minutes that the words can mean, exact, the likeliest first."""

    minutes: tuple[Fraction, ...]


@dataclass(frozen=True, slots=True)
class Day:
    """A day, told by one of: days from today, weekday (Monday is 0), day of the month with or without it.

    ``which`` is last, this or next where said. ``part`` is the part of the day where said: morning,
    afternoon, evening or night, which runs into the next day.
    """

    offset: int | None = None
    weekday: int | None = None
    month: int | None = None
    number: int | None = None
    which: str = ""
    part: str = ""


@dataclass(frozen=True, slots=True)
class Moment:
    """A moment told by a day, a clock time, an event, or a way from one of them.

    ``anchor`` is "now", "then" (the time spoken of before: "two hours later"), or an event of the
    kitchen's day ("open", "close", ...). ``offset`` is in minutes, below zero for before: "an hour and a
    half ago" is ("now", -90).
    """

    day: Day | None = None
    clock: Clock | None = None
    anchor: str = ""
    offset: Fraction = Fraction(0)


Meaning = Number | Ordinal | Clock | Span | Day | Moment
M = TypeVar("M", Number, Ordinal, Clock, Span, Day, Moment)


@dataclass(frozen=True, slots=True)
class Mark:
    """A word or two beside a quantity that says how it is meant: ``name`` is the same in any language."""

    name: str
    start: int
    end: int
    hedge: bool = False


@dataclass(frozen=True, slots=True)
class Quantity:
    """The words from ``start`` to ``end`` (exclusive) with everything that they may say.

    ``meanings`` are said by all of the words together, the likelier first. ``splits`` are the other ways:
    the words cut into several quantities ("two thirty" as 2 and 30), fewest first. ``meanings`` may be
    empty where only splits are left. ``marks`` stand before the run, nearest last, then inside or behind.
    """

    start: int
    end: int
    meanings: tuple[Meaning, ...]
    splits: tuple[tuple[Quantity, ...], ...] = ()
    marks: tuple[Mark, ...] = ()
    parted: bool = False  # its unit of time stands behind a comma: the three of "three, four minutes"

    @property
    def marker(self) -> str:
        """The nearest word before it that says its part: at, since, from, until, by, for, under ..."""
        return next((m.name for m in reversed(self.marks) if not m.hedge and m.end <= self.start), "")

    @property
    def hedge(self) -> str:
        """The word that makes it inexact ("about", "almost", "ish"), or an empty text."""
        return next((m.name for m in reversed(self.marks) if m.hedge), "")

    @property
    def about(self) -> bool:
        """True when it was said to be inexact."""
        return bool(self.hedge)

    @property
    def values(self) -> frozenset[Decimal]:
        """Every number that any way of hearing the words holds."""
        own = {v for m in self.meanings if isinstance(m, Number) for v in m.values}
        own |= {Decimal(v) for m in self.meanings if isinstance(m, Ordinal) for v in m.values}
        return frozenset(own.union(*(part.values for way in self.splits for part in way)))

    def all(self, kind: type[M]) -> tuple[M, ...]:
        """Return the meanings of one type, the likelier first."""
        return tuple(m for m in self.meanings if isinstance(m, kind))

    def first(self, kind: type[M]) -> M | None:
        """Return the likeliest meaning of one type."""
        return next((m for m in self.meanings if isinstance(m, kind)), None)
