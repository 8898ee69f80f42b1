"""Figures that an answer about strengths needs: a label read aloud, a range, numbers without a unit."""

from __future__ import annotations

from decimal import Decimal

from intents.language import language
from intents.lexicon import load_lexicon
from intents.mentions import Understanding
from intents.ranges import SpokenRange, range_after, range_at

LABEL_TOP = Decimal(400)
"""The highest strength, in ppm, that any label may ask for on food surfaces."""
LEAST_ON_LABEL = 10
"""A figure below is no strength on a label, in ppm."""


def label_said(heard: Understanding) -> SpokenRange | None:
    """Return the range read aloud from a label ("our label is two to four hundred"), if there is one.

    A label of one figure ("the label says two hundred") is the range from it up.
    """
    words, lexicon = heard.words, load_lexicon(heard.language)
    places = [at for at, word in enumerate(words) if word in lexicon.list("label")]
    spans = (range_after(words, at + 1, code=heard.language) or _one_figure(heard, at + 1) for at in places)
    return next((span for span in spans if span is not None), None)


def _one_figure(heard: Understanding, at: int) -> SpokenRange | None:
    for start in range(at, min(at + 3, len(heard.words))):
        for end, values in language(heard.language).numbers.numbers_from(heard.words, start)[:1]:
            low = max(values)
            return SpokenRange(low, max(low, LABEL_TOP), start, end) if low >= LEAST_ON_LABEL else None
    return None


def first_range(heard: Understanding) -> SpokenRange | None:
    """Return the first range said ("between one and two hundred"), if there is one."""
    spans = (range_at(heard.words, at, heard.language) for at in range(len(heard.words)))
    return next((span for span in spans if span is not None), None)


def bare_numbers(heard: Understanding) -> tuple[tuple[Decimal, int], ...]:
    """Return every number without a unit and where it stands, those that sound like a time included.

    The three of "bucket three, it says two hundred" is the place's own.
    """
    numbers = language(heard.language).numbers
    taken = {i for m in heard.free_measures if m.kind != "number" for i in range(m.start, m.end)}
    ends = {i: s.end for s in heard.names.get("equipment", ()) for i in range(s.start, s.end)}
    return tuple(
        (value, at)
        for at in range(len(heard.words))
        for end, values in heard.numbers_from(at)[:1]
        for value in sorted(values)
        if not taken & set(range(at, end)) and end > ends.get(at, 0)
        if at == 0 or at - 1 in ends or at in heard.breaks or not numbers.is_number_word(heard.words[at - 1])
    )
