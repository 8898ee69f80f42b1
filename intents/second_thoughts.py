"""The last number of one breath wins: "seventeen no seventy", "thirty eight I mean thirty nine"."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from intents.language import NumberGrammar

Words = tuple[str, ...]


def last_start(words: Words, at: int, numbers: NumberGrammar, markers: Iterable[str]) -> int:
    """Return where the number that counts begins, if a number begins at ``at`` and was taken back at once."""
    known = frozenset(markers)
    for end, _ in numbers.numbers_from(words, at)[:1]:
        after = end
        while after < len(words) and words[after] in known:
            after += 1
        if after > end and after < len(words) and numbers.numbers_from(words, after):
            return last_start(words, after, numbers, known)
    return at


def slip(words: Words, at: int, numbers: NumberGrammar) -> int | None:
    """Return where the second of two sound-alikes in a row begins ("seventeen seventy"), or ``None``."""
    for end, _ in numbers.numbers_from(words, at)[:1]:
        for middle in range(at + 1, end):
            first, second = numbers.values(words[at:middle]), numbers.values(words[middle:end])
            if len(first) == len(second) == 1 and _sound_alike(min(first), min(second)):
                return middle
    return None


def _sound_alike(one: Decimal, other: Decimal) -> bool:
    """True for thirteen and thirty, up to nineteen and ninety."""
    low, high = sorted((one, other))
    return 13 <= low <= 19 and high == (low - 10) * 10
