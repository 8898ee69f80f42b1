"""Remarks beside a reading, which change no number: "on the nose", "but the door was open", "on the line"."""

from __future__ import annotations

from intents.language import language
from intents.lexicon import Lexicon, Span
from intents.mentions import Understanding

_SPOT = "note_spot"
_LEVEL = "note_level"
_FEEL = ("note_feel", _LEVEL)
_OF_PLACE = ("note_of_place", *_FEEL)
"""Remarks that hold only where no food is named: "holding", "down to" may tell of hot holding or cooling."""
_NO_REMARK = ("note_near",)
"""Notes that do change the number: "just under forty"."""


def remarks(heard: Understanding) -> dict[int, int]:
    """Return where each remark begins and ends, the longest one at each place."""
    spans = sorted((s for s in heard.concepts if s.value.startswith("note_")), key=lambda s: s.end)
    named = heard.names.get("equipment", ())
    foods = tuple(f for f in heard.names.get("food", ()) if not any(f.overlaps(place) for place in named))
    return {
        span.start: span.end
        for span in spans
        if span.value not in _NO_REMARK
        and not (span.value in _OF_PLACE and foods)
        and not (span.value in _FEEL and _in_name(span, heard))
        and not (span.value == _LEVEL and any(m.end == span.start for m in heard.measures))
        and not (
            span.value == _SPOT and any(s.overlaps(span) for s in named) and not _beside(span, named, foods)
        )
    }


def _in_name(note: Span, heard: Understanding) -> bool:
    """True for the "low" of "low boy" and the "hot" of "hot water"."""
    measured = (s for s in heard.concepts if s.value.startswith("measured_"))
    return any(note.overlaps(span) for span in (*heard.names.get("equipment", ()), *measured))


def _beside(note: Span, named: tuple[Span, ...], foods: tuple[Span, ...]) -> bool:
    """True for "fridge on the line": another place is named, and the line only tells where it stands.

    Not for "on the line cooler", which is a place of its own, nor for "soup on the line".
    """
    inside = [s for s in named if note.start <= s.start and s.end <= note.end]
    apart = [s for s in named if not s.overlaps(note)]
    return bool(inside and apart) and not foods


def says_nothing(words: tuple[str, ...], concept: Span, lexicon: Lexicon) -> bool:
    """True for the table of "table four sent it back", and for "warmer than the walk-in": no bound."""
    numbers = language(lexicon.language).numbers
    if concept.value in _NO_REMARK and words[concept.end - 1] in lexicon.list("compared_with"):
        behind = (word for word in words[concept.end :] if word not in lexicon.list("deed_articles"))
        return not numbers.is_number_word(next(behind, ""))
    alone = concept.end == concept.start + 1 and words[concept.start] in lexicon.list("guests_sit_at")
    return alone and concept.end < len(words) and numbers.is_number_word(words[concept.end])
