"""Spanish numbers as kitchens say them: "ciento sesenta y cinco", "uno sesenta y cinco", "menos dos".

Words come without accents. Every meaning of a run of words is returned, as in the English grammar.
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache

DIGITS = {w: n for n, w in enumerate("cero uno dos tres cuatro cinco seis siete ocho nueve".split())} | {
    "un": 1,
    "una": 1,
}
TEENS = {
    w: n
    for n, w in enumerate(
        "diez once doce trece catorce quince dieciseis diecisiete dieciocho diecinueve".split(), 10
    )
}
TWENTIES = {
    w: n
    for n, w in enumerate(
        "veinte veintiuno veintidos veintitres veinticuatro veinticinco veintiseis veintisiete "
        "veintiocho veintinueve".split(),
        20,
    )
} | {"veintiun": 21, "veintiuna": 21}
TENS = {
    w: n
    for n, w in zip(
        range(20, 100, 10),
        "veinte treinta cuarenta cincuenta sesenta setenta ochenta noventa".split(),
        strict=True,
    )
} | {"diez": 10}
HUNDREDS = {
    w: n
    for n, w in zip(
        range(100, 1000, 100),
        "ciento doscientos trescientos cuatrocientos quinientos seiscientos setecientos ochocientos "
        "novecientos".split(),
        strict=True,
    )
} | {"cien": 100}
HUNDREDS |= {word[:-2] + "as": n for word, n in HUNDREDS.items() if word.endswith("os")}
SMALL = {**DIGITS, **TEENS, **TWENTIES, **TENS}
MINUS = frozenset({"menos", "negativo", "minus"})  # the last stands for a sign as written
POINTS = frozenset({"coma", "punto"})
BELOW_ZERO = ("bajo", "cero")
PARTS = {"medio": Decimal("0.5"), "media": Decimal("0.5"), "cuarto": Decimal("0.25")}
STARTERS = {*SMALL, *HUNDREDS, *MINUS, *POINTS, "mil"}
INNER = {*STARTERS, *PARTS, "y", "bajo", "cuartos"}
ONE = frozenset({"un", "una", "por"})
OF = frozenset({"de"})
HALF_OF = frozenset({("medio",), ("media",)})
AND_A_HALF = frozenset({("y", "media"), ("y", "medio")})
RANGE_WORDS = frozenset({"a", "y", "hasta", "o"})

Words = tuple[str, ...]


def written(text: str) -> str:
    """Return ``text`` with a decimal comma ("40,5") as a point."""
    return re.sub(r"(?<![\d.,])(\d+),(\d{1,2})(?![\d.,])", r"\1.\2", text)


def number_words() -> frozenset[str]:
    """Return every word of the grammar, for a recogniser's vocabulary."""
    return frozenset(INNER)


def is_numeral(word: str) -> bool:
    """True for digits as written ("165", "40.5", ".5")."""
    return word.replace(".", "", 1).isdecimal()


def is_number_word(word: str) -> bool:
    """True when ``word`` can begin or continue a number all by itself."""
    return (word in STARTERS and word not in ("un", "una")) or is_numeral(word)


@cache
def values(words: Words) -> frozenset[Decimal]:
    """Return every value that all of ``words`` together can mean, signs and fractions included."""
    if not words:
        return frozenset()
    if words[0] in MINUS:
        return frozenset(-v for v in values(words[1:]) if v >= 0)
    if len(words) > 2 and words[-2:] == BELOW_ZERO:
        return frozenset(-v for v in values(words[:-2]) if v > 0)
    return frozenset(_with_fraction(words))


def _with_fraction(words: Words) -> set[Decimal]:
    found = {Decimal(v) for v in integers(words)}
    if len(words) == 1 and is_numeral(words[0]):
        found.add(Decimal(words[0]))
    if words == ("tres", "cuartos"):
        found.add(Decimal("0.75"))
    if len(words) == 1 and words[0] in PARTS:
        found.add(PARTS[words[0]])
    if len(words) >= 3 and words[-2] == "y" and words[-1] in PARTS:
        found |= {Decimal(v) + PARTS[words[-1]] for v in integers(words[:-2])}
    for at, word in enumerate(words):
        if word in POINTS:
            found |= _decimals(words[:at], words[at + 1 :])
    return found


def _decimals(whole: Words, tail: Words) -> set[Decimal]:
    wholes = integers(whole) if whole else frozenset({0})
    digits = "".join(str(d) for d in (_digit(word) for word in tail) if d is not None)
    if not tail or len(digits) != len(tail):
        tails = integers(tail) if tail else frozenset()
        if len(tails) != 1 or not 10 <= (two := min(tails)) <= 99:
            return set()
        digits = str(two)
    return {w + Decimal(f"0.{digits}") for w in wholes}


def _digit(word: str) -> int | None:
    if word in DIGITS:
        return DIGITS[word]
    return int(word) if len(word) == 1 and word.isdecimal() else None


@cache
def integers(words: Words) -> frozenset[int]:
    """Return every whole number from 0 to 9,999 that all of ``words`` can mean, without a sign."""
    found: set[int] = set()
    if len(words) == 1:
        found |= _single(words[0])
    two = _two_digits(words)
    if two is not None:
        found.add(two)
    found |= _hundreds(words) | _side_by_side(words) | _thousands(words)
    spelled = [_digit(word) for word in words]
    if 2 <= len(words) <= 4 and all(d is not None for d in spelled) and spelled[0] != 0:
        found.add(int("".join(str(d) for d in spelled)))
    return frozenset(found)


def _single(word: str) -> set[int]:
    if word.isdecimal():
        return {int(word)} if len(word) == 1 or word[0] != "0" else set()
    return {number for table in (SMALL, HUNDREDS) if (number := table.get(word)) is not None}


def _two_digits(words: Words) -> int | None:
    """1 to 99 in the ordinary way: "siete", "quince", "cuarenta y uno", also "cuarenta uno"."""
    if len(words) == 1 and words[0] in SMALL and words[0] != "cero":
        return SMALL[words[0]]
    if len(words) == 1 and words[0].isdecimal() and len(words[0]) <= 2 and words[0][0] != "0":
        return int(words[0])
    joined = words[:1] + words[2:] if len(words) == 3 and words[1] == "y" else words
    if len(joined) == 2 and joined[0] in TENS and DIGITS.get(joined[1], 0) > 0:
        return TENS[joined[0]] + DIGITS[joined[1]]
    return None


def _hundreds(words: Words) -> set[int]:
    """ "doscientos", "ciento diez", "ciento sesenta y cinco"."""
    if words[0] not in HUNDREDS:
        return set()
    if len(words) == 1:
        return {HUNDREDS[words[0]]}
    rest = _two_digits(words[1:])
    return {HUNDREDS[words[0]] + rest} if rest is not None else set()


def _side_by_side(words: Words) -> set[int]:
    """ "uno sesenta y cinco" 165, "dos cero cinco" 205, "dos cincuenta" 250, "1 84" 184."""
    found: set[int] = set()
    for at in range(1, len(words)):
        head, tail = _two_digits(words[:at]), words[at:]
        if head is None or words[at] == "y":
            continue
        if len(tail) == 2 and tail[0] == "cero" and (digit := _digit(tail[1])) is not None:
            found.add(head * 100 + digit)
        rest = _two_digits(tail)
        if rest is not None and rest >= 10:
            found.add(head * 100 + rest)
    return found


def _thousands(words: Words) -> set[int]:
    if "mil" not in words:
        return set()
    at = words.index("mil")
    head = 1 if at == 0 else _two_digits(words[:at])
    tail = words[at + 1 :]
    if head is None or head > 9:
        return set()
    return {head * 1000 + v for v in (integers(tail) if tail else {0}) if v < 1000}


def run_at(words: Words, start: int) -> int:
    """Return the end of the longest stretch from ``start`` of words that could belong to numbers."""
    end = start
    while end < len(words) and (words[end] in INNER or words[end] == "cero" or is_numeral(words[end])):
        end += 1
    return end


@cache
def numbers_from(words: Words, start: int) -> tuple[tuple[int, frozenset[Decimal]], ...]:
    """Return ``(end, values)`` for every number that can begin at ``start``, the longest first.

    "un" and "una" alone are articles and begin no number.
    """
    if start >= len(words) or not (words[start] in STARTERS or is_numeral(words[start])):
        return ()
    stop = min(run_at(words, start), start + 9)
    found = []
    for end in range(stop, start, -1):
        options = values(words[start:end])
        if options and words[start:end] not in (("un",), ("una",)):
            found.append((end, options))
    return tuple(found)


@cache
def readings(words: Words) -> tuple[tuple[Decimal, ...], ...]:
    """Return every way to read all of ``words`` as one or more numbers in a row, fewest first."""

    def split(at: int) -> list[tuple[Decimal, ...]]:
        if at == len(words):
            return [()]
        return [
            (value, *rest)
            for end, options in numbers_from(words, at)
            for rest in split(end)
            for value in sorted(options)
        ]

    return tuple(sorted(set(split(0)), key=lambda r: (len(r), r)))
