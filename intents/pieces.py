"""Words in the pieces that the net was taught: the longest known beginning first, then what follows of it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

UNKNOWN = "[UNK]"
FURTHER = "##"
"""Stands before a piece that does not begin its word."""
LONGEST_WORD = 100
"""A longer word is unknown as a whole."""


class Pieces:
    """The pieces by their numbers. A word that cannot be put together of them is ``UNKNOWN``."""

    def __init__(self, known: Sequence[str]) -> None:
        self.numbers = {piece: number for number, piece in enumerate(known)}
        self.of_word = lru_cache(maxsize=4096)(self._of_word)

    def of(self, words: Sequence[str]) -> tuple[list[int], list[int | None]]:
        """Return the numbers of the words' pieces, and at which each word begins (``None`` without any)."""
        found: list[int] = []
        begins: list[int | None] = []
        for word in words:
            pieces = self.of_word(word)
            begins.append(len(found) if pieces else None)
            found += pieces
        return found, begins

    def _of_word(self, word: str) -> tuple[int, ...]:
        found: list[int] = []
        at = 0
        while at < len(word) <= LONGEST_WORD:
            before = FURTHER if at else ""
            end = next((e for e in range(len(word), at, -1) if before + word[at:e] in self.numbers), at)
            if end == at:
                break
            found.append(self.numbers[before + word[at:end]])
            at = end
        return tuple(found) if at == len(word) else (self.numbers[UNKNOWN],)
