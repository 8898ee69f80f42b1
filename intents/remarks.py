"""Remarks beside a reading, which change no number: "on the nose", "but the door was open", "on the line"."""

from __future__ import annotations

from intents.lexicon import Span
from intents.mentions import Understanding

_SPOT = "note_spot"
_OF_PLACE = "note_of_place"
"""Remarks that hold only where no food is named: "holding", "down to" may tell of hot holding or cooling."""


def remarks(heard: Understanding) -> dict[int, int]:
    """Return where each remark begins and ends, the longest one at each place."""
    spans = sorted((s for s in heard.concepts if s.value.startswith("note_")), key=lambda s: s.end)
    foods, named = heard.names.get("food", ()), heard.names.get("equipment", ())
    return {
        span.start: span.end
        for span in spans
        if not (span.value == _OF_PLACE and foods)
        and not (
            span.value == _SPOT and any(s.overlaps(span) for s in named) and not _beside(span, named, foods)
        )
    }


def _beside(note: Span, named: tuple[Span, ...], foods: tuple[Span, ...]) -> bool:
    """True for "fridge on the line": another place is named, and the line only tells where it stands.

    Not for "on the line cooler", which is a place of its own, nor for "soup on the line".
    """
    inside = [s for s in named if note.start <= s.start and s.end <= note.end]
    apart = [s for s in named if not s.overlaps(note)]
    return bool(inside and apart) and not foods
