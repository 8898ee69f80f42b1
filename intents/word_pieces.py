"""Words cut into the pieces that the net was taught: the longest known one first, the rest behind ``##``."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

UNKNOWN = "[UNK]"
LONGEST_WORD = 100
"""A longer one is no word; it is taken as unknown."""


class WordPieces:
    """Pieces by their numbers: their places in the list."""

    def __init__(self, pieces: Sequence[str]) -> None:
        self.ids = {piece: number for number, piece in enumerate(pieces)}
        self._unknown = [self.ids[UNKNOWN]]

    def coded(self, words: Iterable[str]) -> list[list[int]]:
        """Return the numbers of each word's pieces; none for one that is only space."""
        return [[number for part in word.split() for number in self._cut(part)] for word in words]

    def _cut(self, word: str) -> list[int]:
        if len(word) > LONGEST_WORD:
            return self._unknown
        cut: list[int] = []
        at = 0
        while at < len(word):
            behind = "##" if at else ""
            for end in range(len(word), at, -1):
                number = self.ids.get(behind + word[at:end])
                if number is not None:
                    cut.append(number)
                    at = end
                    break
            else:
                return self._unknown
        return cut
