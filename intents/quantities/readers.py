"""The readers that forms name: each finds, from one word on, the ends and values of one kind of thing."""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Iterator
from decimal import Decimal
from fractions import Fraction

from intents.language import numbers_between
from intents.quantities.forms import Form, Words, matches
from intents.quantities.grammar import LAYERS, Grammar
from intents.quantities.makers import MAKERS

Found = Iterator[tuple[int, object]]
_COLON = re.compile(r"(\d{1,2}):(\d\d)")
_DOTTED = re.compile(r"([1-9]|1[0-2])\.([0-5]0)")
"""A recogniser's "8.30" for "eight thirty": nobody says a decimal's closing zero."""
_DIGITS = re.compile(r"(\d{1,2})(\d\d)")
_FRACTION = re.compile(r"([1-9]\d?)/([1-9]\d?)")
_HOUR = Fraction(60)
_MINUTE = Fraction(1)
_HALF = 30
_BARE_BEFORE = frozenset({5, *range(10, _HALF)})
"""Minutes that are said before an hour without "minutes": "two to four" is a range, "one to ten" a ratio."""


class Reader:
    """The words of one utterance and a language's grammar; what was read once is kept."""

    def __init__(self, words: Words, grammar: Grammar, breaks: frozenset[int] = frozenset()) -> None:
        self.words = words
        self.grammar = grammar
        self.breaks = breaks
        self._kept: dict[tuple[str, int], tuple[tuple[int, object], ...]] = {}
        self._whole_numbers: dict[int, tuple[tuple[int, int], ...]] = {}
        self._readers: dict[str, Callable[[int], Found]] = {
            "hour": lambda at: self._glued(at, 1, 12),
            "hour24": self._hour24,
            "zeroed": self._zeroed,
            "named": self._named,
            "written": self._written,
            "digits": self._digits,
            "minute": lambda at: self._minutes(at, range(1, 60), _HALF),
            "before": lambda at: self._minutes(at, _BARE_BEFORE, _HALF // 2),
            "fives": lambda at: self._minutes(at, range(5, 30, 5), _HALF // 2),
            "padded": self._padded,
            "quarters": lambda at: grammar.minutes.at(words, at),
            "half": lambda at: grammar.halves.at(words, at),
            "amount": self._amount,
            "unit": self._unit,
            "hour_unit": lambda at: ((e, u) for e, u in grammar.times.at(words, at) if u == _HOUR),
            "extra": lambda at: grammar.extras.at(words, at),
            "short": lambda at: self._whole(at, 5, 59),
            "days": lambda at: self._whole(at, 1, 99),
            "ordinal": self._ordinal,
            "date_number": lambda at: self._whole(at, 1, 31),
            "weekday": lambda at: grammar.weekdays.at(words, at),
            "month": lambda at: grammar.months.at(words, at),
            "part": lambda at: grammar.parts.at(words, at),
            "anchor": lambda at: grammar.anchors.at(words, at),
        }

    def numbers_from(self, at: int) -> tuple[tuple[int, frozenset[Decimal]], ...]:
        """Return ``(end, values)`` of the numbers that begin at ``at`` and go over no comma."""
        return numbers_between(self.words, at, self.breaks, self.grammar.numbers)

    def read(self, name: str, at: int) -> tuple[tuple[int, object], ...]:
        """Return what the reader or layer ``name`` finds at ``at``."""
        kept = self._kept.get((name, at))
        if kept is None:
            found = self._layer(name, at) if name in LAYERS else self._readers[name](at)
            kept = self._kept[name, at] = tuple(dict.fromkeys(found))
        return kept

    def marks_before(self, at: int) -> Iterator[tuple[str, bool, int, int]]:
        """Return the marks that end at ``at``, the nearest first: name, whether a hedge, start, end."""
        while (found := self.grammar.marks.until(self.words, at)) is not None:
            if found[1] is not None:
                yield *found[1], found[0], at
            at = found[0]

    def is_number(self, at: int) -> bool:
        """True when a number or a clock time begins at ``at``."""
        return at < len(self.words) and bool(self.numbers_from(at) or self.read("named", at))

    def may_begin(self, at: int) -> bool:
        """False where no quantity can begin, so that nothing has to be read."""
        word = self.words[at]
        return word in self.grammar.vocabulary or not word.isalpha() or any(self._stems(at))

    def is_glued(self, at: int) -> bool:
        """True when the word at ``at`` is an hour with an ending that makes it inexact: "sixish"."""
        parts = self.grammar
        return any(parts.numbers.integers((s,)) or any(parts.named.at((s,), 0)) for s in self._stems(at))

    def _layer(self, layer: str, at: int) -> Found:
        words, read = self.words, self.read
        for shape in self._shapes(layer, at):
            if shape.marked and not shape.marked & {name for name, *_ in self.marks_before(at)}:
                continue
            for end, bound in matches(shape, words, at, read):
                if (shape.alone or shape.edge) and self.is_number(end):
                    continue
                if shape.edge and end < len(self.words) and not any(self.marks_before(at)):
                    continue
                meaning = MAKERS[layer](bound)
                if meaning is not None:
                    yield end, meaning

    def _shapes(self, layer: str, at: int) -> Iterator[Form]:
        """The forms of a layer whose beginning is there."""
        forms = self.grammar.forms[layer]
        yield from forms.by_word.get(self.words[at], ())
        for reader, shapes in forms.by_reader:
            if not reader or self.read(reader, at):
                yield from shapes

    def _whole(self, at: int, low: int, high: int) -> Iterator[tuple[int, int]]:
        """Whole numbers below 100 in the ordinary way: no "one five" for fifteen."""
        if at not in self._whole_numbers:
            self._whole_numbers[at] = tuple(self._below_100(at))
        return ((end, value) for end, value in self._whole_numbers[at] if low <= value <= high)

    def _below_100(self, at: int) -> Iterator[tuple[int, int]]:
        integers, words = self.grammar.numbers.integers, self.words
        tens = integers(words[at : at + 1])
        for end in range(at + 1, min(at + 4, len(words) + 1)) if tens else ():
            for value in integers(words[at:end]):
                if 0 <= value < 100 and (end == at + 1 or (value % 10 and value // 10 * 10 in tens)):
                    yield end, value

    def _glued(self, at: int, low: int, high: int) -> Found:
        yield from self._whole(at, low, high)
        for stem in self._stems(at):
            for value in self.grammar.numbers.integers((stem,)):
                if low <= value <= high:
                    yield at + 1, value

    def _stems(self, at: int) -> Iterator[str]:
        for ending in self.grammar.endings:
            if self.words[at].endswith(ending) and len(self.words[at]) > len(ending) + 1:
                stem = self.words[at].removesuffix(ending)
                yield from (stem, f"{stem}e")

    def _named(self, at: int) -> Found:
        yield from self.grammar.named.at(self.words, at)
        for stem in self._stems(at):
            yield from ((at + 1, hour) for _, hour in self.grammar.named.at((stem,), 0))

    def _unit(self, at: int) -> Found:
        """Units of time behind their number: none behind a comma, and no "one sixty five second one ..."."""
        counts = 1 not in self.grammar.numbers.integers(self.words[at - 1 : at]) if at else True
        ordinal = any(self.grammar.ordinals.at(self.words, at)) and self.numbers_from(at + 1)
        if at not in self.breaks and not (counts and ordinal):
            yield from self.grammar.times.at(self.words, at)

    def _hour24(self, at: int) -> Found:
        yield from self._whole(at, 13, 24)
        if self.words[at] in self.grammar.zeros and 0 in self.grammar.numbers.integers((self.words[at],)):
            yield at + 1, 0

    def _zeroed(self, at: int) -> Found:
        """A digit behind a spoken or written zero: "oh five", "05"."""
        word = self.words[at]
        if len(word) == 2 and word[0] == "0" and word.isdecimal():
            yield at + 1, int(word)
        if at + 1 < len(self.words) and (word in self.grammar.zeros or word == "0"):
            after = self.words[at + 1]
            digits = {0} if after in self.grammar.zeros else self.grammar.numbers.integers((after,))
            yield from ((at + 2, value) for value in digits if value < 10)

    def _padded(self, at: int) -> Found:
        yield from self._whole(at, 10, 59)
        yield from self._zeroed(at)

    def _minutes(self, at: int, bare: Container[int], most: int) -> Found:
        """Minutes beside an hour: those of ``bare`` without their unit, quarters up to ``most``."""
        for end, value in self._whole(at, 1, 59):
            if value in bare:
                yield end, value
            for stop, unit in self.grammar.times.at(self.words, end):
                if unit == _MINUTE and (most == _HALF or value < _HALF):
                    yield stop, value
        yield from ((end, v) for end, v in self.grammar.minutes.at(self.words, at) if v <= most)

    def _written(self, at: int) -> Found:
        """ "2:30", "14:05", "8.30": the hour, the minute, and whether it is an hour of 24."""
        match = _COLON.fullmatch(self.words[at])
        if match is None and not any(self.grammar.units.at(self.words, at + 1)):
            match = _DOTTED.fullmatch(self.words[at])
        if match is not None:
            yield from _hour_and_minute(at, match)

    def _digits(self, at: int) -> Found:
        """ "630", "1430", "0630"."""
        if match := _DIGITS.fullmatch(self.words[at]):
            yield from _hour_and_minute(at, match)

    def _amount(self, at: int) -> Found:
        for end, values in self.numbers_from(at):
            yield end, tuple(sorted((Fraction(v) for v in values if v >= 0), reverse=True))
        for end, value in self.fractions(at):
            yield end, (value,)
        yield from ((end, (value,)) for end, value in self.grammar.amounts.at(self.words, at))

    def fractions(self, at: int) -> Iterator[tuple[int, Fraction]]:
        """ "1/2", "2 1/2"."""
        whole = self.words[at].isdecimal() and at + 1 < len(self.words)
        for start in (at, at + 1) if whole else (at,):
            if match := _FRACTION.fullmatch(self.words[start]):
                part = Fraction(int(match[1]), int(match[2]))
                if start == at or part < 1:
                    yield start + 1, part + (int(self.words[at]) if start > at else 0)

    def _ordinal(self, at: int) -> Found:
        yield from self.grammar.ordinals.at(self.words, at)
        for tens in self.grammar.numbers.integers(self.words[at : at + 1]):
            if tens in range(20, 100, 10):
                for end, ones in self.grammar.ordinals.at(self.words, at + 1):
                    if ones < 10:
                        yield end, tens + ones


def _hour_and_minute(at: int, match: re.Match[str]) -> Found:
    hour, minute = int(match[1]), int(match[2])
    if hour <= 24 and minute < 60:
        yield at + 1, (hour, minute, match[1][0] == "0" or hour > 12)
