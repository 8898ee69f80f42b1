"""Ranges as said: "two to four hundred", "fifty to a hundred", "between one and two hundred"."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from intents.language import NumberGrammar, language
from intents.lexicon import Lexicon


@dataclass(frozen=True, slots=True)
class SpokenRange:
    """The two ends of a range, the lower first, and the words from ``start`` to ``end`` that say it."""

    low: Decimal
    high: Decimal
    start: int
    end: int


def range_at(words: tuple[str, ...], at: int, code: str = "en") -> SpokenRange | None:
    """Return the range that begins at ``at``, the longest that makes sense, or ``None``.

    A lone digit before hundreds counts as hundreds ("two to four hundred"). Numerals may stand side by
    side, as a hyphen leaves them ("200-400"). ``code`` is the language.
    """
    numbers = language(code).numbers
    found: list[SpokenRange] = []
    for middle, lows in numbers.numbers_from(words, at):
        joined = middle < len(words) and words[middle] in numbers.RANGE_WORDS
        if not joined and not (numbers.is_numeral(words[middle - 1]) and middle == at + 1):
            continue
        for end, highs in _upper(words, middle + 1 if joined else middle, numbers):
            found += [
                span for low in lows for high in highs if (span := _ordered(low, high, at, end)) is not None
            ]
    return max(found, key=lambda span: (span.end, span.high - span.low < span.high), default=None)


def _upper(
    words: tuple[str, ...], at: int, numbers: NumberGrammar
) -> tuple[tuple[int, frozenset[Decimal]], ...]:
    """Return the numbers that may be the upper end at ``at``: "the two hundred", a bare "hundred"."""
    at += 1 if words[at : at + 1] == ("the",) else 0
    if words[at : at + 1] == ("hundred",):
        return ((at + 1, frozenset({Decimal(100)})),)
    return numbers.numbers_from(words, at)


def _ordered(low: Decimal, high: Decimal, start: int, end: int) -> SpokenRange | None:
    if low < 10 and high >= 100 and high % 100 == 0:
        low *= 100
    return SpokenRange(low, high, start, end) if 0 <= low < high else None


def range_after(words: tuple[str, ...], at: int, reach: int = 4, code: str = "en") -> SpokenRange | None:
    """Return the first range that begins at most ``reach`` words after ``at``."""
    spans = (range_at(words, start, code) for start in range(at, min(at + reach, len(words))))
    return next((span for span in spans if span is not None), None)


def label_range(words: tuple[str, ...], lexicon: Lexicon) -> SpokenRange | None:
    """Return the range read aloud from a label, with the words "our label is" before it, if there is one."""
    of_label, before = lexicon.list("label"), lexicon.list("before_label")
    for at, word in enumerate(words):
        if word in of_label and (span := range_after(words, at + 1, code=lexicon.language)) is not None:
            begins = at - 1 if at and words[at - 1] in before else at
            return SpokenRange(span.low, span.high, begins, span.end)
    return None
