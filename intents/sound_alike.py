"""A name or trade word that was misspelt or misheard: "cloring bucket", "loyboy two".

Only a word that means nothing at all is looked at, and only names of places and a few trade words come in
its place; whoever uses the correction has to check that the whole sentence then makes sense.
"""

from __future__ import annotations

from collections.abc import Iterable

LEAST_LETTERS = 5
"""Shorter words are too like each other."""
LEAST_LIKENESS = 0.7
"""Share of letters that agree, in order; neighbours that changed places count as one slip."""
LEAST_LEAD = 0.08
"""How much more alike the best word is than the next, or nothing is corrected."""


class SoundAlikes:
    """The words that a correction may put in, and all words that need none."""

    def __init__(self, names: Iterable[str], known: Iterable[str]) -> None:
        self._known = frozenset(known)
        self._names = sorted({w for w in names if len(w) >= LEAST_LETTERS and w.isalpha()})

    def corrected(self, words: tuple[str, ...]) -> tuple[str, ...] | None:
        """Return ``words`` with their one unknown word put right; ``None`` if it is like no name."""
        unknown = [word for word in words if word.isalpha() and word not in self._known]
        if len(unknown) != 1 or len(unknown[0]) < LEAST_LETTERS:
            return None
        meant = self._nearest(unknown[0])
        return tuple(meant if word == unknown[0] else word for word in words) if meant else None

    def _nearest(self, word: str) -> str:
        from rapidfuzz import process  # seldom needed
        from rapidfuzz.distance import OSA

        found = process.extract(
            word,
            self._names,
            scorer=OSA.normalized_similarity,
            limit=2,
            score_cutoff=LEAST_LIKENESS - LEAST_LEAD,
        )
        if not found or found[0][1] < LEAST_LIKENESS or found[0][0][0] != word[0]:
            return ""
        clear = len(found) == 1 or found[0][1] - found[1][1] >= LEAST_LEAD
        return found[0][0] if clear else ""
