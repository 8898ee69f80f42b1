"""How alike two words are: by the letters that they share in order, or by the slips between them.

Both count a row of the table at once, one letter a bit, as described by Hyyrö (2003, 2004; from memory).
"""

from __future__ import annotations


def ratio(one: str, other: str) -> float:
    """Return 100 times twice the letters shared in order, by all letters ("walk" and "walk in": 73)."""
    return 200.0 * _shared(one, other) / (len(one) + len(other)) if one or other else 100.0


def without_slips(one: str, other: str) -> float:
    """Return 1 less the share of slips: a letter too many, too few, another, or two neighbours changed."""
    longest = max(len(one), len(other))
    return 1.0 - _slips(one, other) / longest if longest else 1.0


def _where(word: str) -> dict[str, int]:
    """Return for each letter the bits of the places where it stands."""
    places: dict[str, int] = {}
    for at, letter in enumerate(word):
        places[letter] = places.get(letter, 0) | 1 << at
    return places


def _shared(one: str, other: str) -> int:
    places, whole = _where(one), (1 << len(one)) - 1
    row = whole
    for letter in other:
        met = row & places.get(letter, 0)
        row = (row + met | row - met) & whole
    return len(one) - row.bit_count()


def _slips(one: str, other: str) -> int:
    """Return the least number of slips, no part of the word changed twice."""
    if not one:
        return len(other)
    places, whole, last = _where(one), (1 << len(one)) - 1, 1 << len(one) - 1
    up, down, level, before = whole, 0, 0, 0
    slips = len(one)
    for letter in other:
        here = places.get(letter, 0)
        changed = ((~level & here) << 1) & before
        level = (((here & up) + up) ^ up) | here | down | changed
        more, less = down | ~(level | up) & whole, level & up
        slips += bool(more & last) - bool(less & last)
        more, less = more << 1 | 1, less << 1
        up, down = (less | ~(level | more)) & whole, more & level & whole
        before = here
    return slips
