"""Corrections: "scratch that", "make that one fifty", "no, forty-one, it's the reach-in, not the walk-in".

The last number of a breath wins. What was logged first always stays visible: a correction is an entry.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from intents.language import language
from intents.lexicon import Lexicon
from intents.mentions import UNIT_KINDS, Understanding


@dataclass(frozen=True, slots=True)
class Amendment:
    """What a correction says: a new value, a new place, both, or neither (then it takes back)."""

    value: Decimal | None = None
    place: str = ""
    unit: str = ""

    @property
    def takes_back(self) -> bool:
        """True for "scratch that" with nothing in its place."""
        return self.value is None and not self.place


def opens_with_name(heard: Understanding) -> bool:
    """True when a place or food comes before any word of correction: a reading of its own."""
    names = [s.start for kind in ("equipment", "food") for s in heard.names.get(kind, ())]
    marks = [s.start for s in heard.concepts if s.value in ("scratch", "make_that")]
    return bool(names) and min(names) < min(marks, default=len(heard.words))


def parse_amendment(heard: Understanding, lexicon: Lexicon) -> Amendment | None:
    """Return the correction that ``heard`` is, or ``None``. Every word has to be explained."""
    words = heard.words
    marks = [s for s in heard.concepts if s.value in ("scratch", "make_that")]
    if not words or not (marks or words[0] in lexicon.list("correction_openers")):
        return None
    covered = {i for s in marks for i in range(s.start, s.end)}
    numbers, denying = language(lexicon.language).numbers, lexicon.list("denying")
    places = heard.names.get("equipment", ())
    covered |= {i for s in places for i in range(s.start, s.end)}
    denied = [s for s in places if denying & set(words[max(0, s.start - 2) : s.start])]
    meant = [s for s in places if s not in denied]
    values: list[Decimal] = []
    unit = ""
    at = 0
    while at < len(words):
        found = numbers.numbers_from(words, at) if at not in covered else ()
        if not found:
            at += 1
            continue
        end, options = found[0]
        if len(options) > 1:
            return None
        values += options
        covered |= set(range(at, end))
        at = end
    for span in heard.concepts:
        if span.value in UNIT_KINDS:
            covered |= set(range(span.start, span.end))
            unit = UNIT_KINDS[span.value][1] or unit
    known = (
        lexicon.links | lexicon.filler | lexicon.list("correction_openers") | lexicon.list("correction_small")
    )
    if any(i not in covered and word not in known for i, word in enumerate(words)):
        return None
    if not marks and not values and not meant:
        return None
    return Amendment(values[-1] if values else None, meant[-1].value if meant else "", unit)
