"""English numbers as kitchens say them: "one sixty five", "two oh five", "forty and a half", "four below".

``values(words)`` gives every value that the whole run of words can mean; ``runs(words)`` finds the
runs. Where a run can mean several values, or several numbers in a row, all are returned and the
caller decides with the ranges that make sense, or asks.
"""

from __future__ import annotations

from decimal import Decimal
from functools import cache

DIGITS = {w: n for n, w in enumerate("zero one two three four five six seven eight nine".split())}
ZEROS = {"oh": 0, "o": 0, "zero": 0}
TEENS = {
    w: n
    for n, w in enumerate(
        "ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split(), 10
    )
}
TENS = {
    w: n
    for n, w in zip(
        range(20, 100, 10), "twenty thirty forty fifty sixty seventy eighty ninety".split(), strict=True
    )
} | {"fourty": 40}
HUNDREDS = {"hundred", "buck", "bucks"}
SAID = {"free": 3, "tree": 3, "wan": 1}
"""Digits as some say them: only behind tens ("forty free"), where nothing else can follow a number."""
ANDS = {"and", "an", "n"}
MINUS = {"minus", "negative"}
HALVES = {"half": Decimal("0.5"), "quarter": Decimal("0.25"), "quarters": Decimal("0.25")}
SMALL = {**DIGITS, **TEENS, **TENS}
STARTERS = {*SMALL, "oh", *MINUS, "point", "hundred"}
SEVERAL = {"couple", "of", "few", "several", "some", "many"}
"""Words before a bare "hundred" that make it no number: "a couple hundred"."""
INNER = {*STARTERS, *HUNDREDS, *ANDS, *SAID, *"thousand a above below half quarter quarters zero o".split()}

Words = tuple[str, ...]
Run = tuple[int, int]


def is_numeral(word: str) -> bool:
    """True for digits as written ("165", "40.5", ".5")."""
    return word.replace(".", "", 1).isdecimal()


def is_number_word(word: str) -> bool:
    """True when ``word`` can begin or continue a number all by itself."""
    return word in STARTERS or is_numeral(word)


@cache
def values(words: Words) -> frozenset[Decimal]:
    """Return every value that all of ``words`` together can mean, signs and fractions included."""
    if not words:
        return frozenset()
    found: set[Decimal] = set()
    if words[0] in MINUS:
        found |= {-v for v in values(words[1:]) if v >= 0 and words[1] not in MINUS}
    elif words[-1] == "below" and len(words) > 1:
        found |= {-v for v in values(words[:-1]) if v > 0}
    elif words[-2:] in (("below", "zero"), ("below", "0")):
        found |= {-v for v in values(words[:-2]) if v > 0}
    elif words[-1] == "above" and len(words) > 1:  # "the freezer is seven above"
        found |= {v for v in values(words[:-1]) if v > 0}
    elif words[-2:] in (("above", "zero"), ("above", "0")):
        found |= {v for v in values(words[:-2]) if v > 0}
    else:
        found |= _with_fraction(words)
    return frozenset(found)


def _with_fraction(words: Words) -> set[Decimal]:
    found = {Decimal(v) for v in integers(words)}
    if len(words) == 1 and is_numeral(words[0]):
        found.add(Decimal(words[0]))
    if words in (("half",), ("a", "half")):
        found.add(Decimal("0.5"))
    if words in (("quarter",), ("a", "quarter"), ("one", "quarter")):
        found.add(Decimal("0.25"))
    if words in (("three", "quarters"), ("3", "quarters")):
        found.add(Decimal("0.75"))
    if len(words) >= 3 and words[-1] in ("half", "quarter") and words[-2] in ("a", "and"):
        whole = words[:-2] if words[-3] != "and" else words[:-3]
        found |= {v + HALVES[words[-1]] for v in _whole_numbers(whole)}
    if "point" in words:
        at = words.index("point")
        found |= _decimals(words[:at], words[at + 1 :])
    return found


def _whole_numbers(words: Words) -> set[Decimal]:
    return {Decimal(v) for v in integers(words)}


def _decimals(whole: Words, tail: Words) -> set[Decimal]:
    wholes = {Decimal(v) for v in integers(whole)} if whole else {Decimal(0)}
    if whole and all(w in ZEROS for w in whole):
        wholes = {Decimal(0)}
    digits = "".join(str(d) for d in (_digit(w) for w in tail) if d is not None)
    if not tail or len(digits) != len(tail):
        if len(tail) == 1 and tail[0].isdecimal():
            digits = tail[0]
        else:
            return set()
    return {w + Decimal(f"0.{digits}") for w in wholes}


def _digit(word: str) -> int | None:
    if word in ZEROS:
        return 0
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
    spelled = [_digit(w) for w in words]
    if len(words) in (2, 3, 4) and all(d is not None for d in spelled) and spelled[0] != 0:
        found.add(int("".join(str(d) for d in spelled)))
    return frozenset(found)


def _single(word: str) -> set[int]:
    if word.isdecimal():
        return {int(word)} if len(word) == 1 or word[0] != "0" else set()
    return {SMALL[word]} if word in SMALL else set()


def _two_digits(words: Words) -> int | None:
    """1 to 99 in the ordinary way: "seven", "fifteen", "forty", "forty one"."""
    if len(words) == 1 and words[0] in SMALL and words[0] != "zero":
        return SMALL[words[0]]
    if len(words) == 1 and words[0].isdecimal() and 1 <= len(words[0]) <= 2 and words[0][0] != "0":
        return int(words[0])
    if len(words) == 2 and words[0] in TENS and words[1] in {**DIGITS, **SAID} and words[1] != "zero":
        return TENS[words[0]] + {**DIGITS, **SAID}[words[1]]
    return None


def _hundreds(words: Words) -> set[int]:
    """ "two hundred", "a hundred and ten", "hundred and ten", "one hundred sixty five", "a buck fifty"."""
    at = next((i for i, w in enumerate(words) if w in HUNDREDS), None)
    if at is None:
        return set()
    head, tail = words[:at], words[at + 1 :]
    if words[at] != "hundred" and head not in ((), ("a",), ("one",), ("two",)):
        return set()
    base = 1 if head in ((), ("a",)) else _two_digits(head)
    if base is None:
        return set()
    if not tail:
        return {base * 100} if head else set()
    rest = _two_digits(tail[1:] if tail[0] in ANDS else tail)
    return {base * 100 + rest} if rest is not None else set()


def _side_by_side(words: Words) -> set[int]:
    """ "one sixty five" 165, "two oh five" 205, "twelve fifty" 1250, "1 84" 184."""
    found: set[int] = set()
    for at in range(1, len(words)):
        head = _two_digits(words[:at])
        if head is None:
            continue
        tail = words[at:]
        if len(tail) == 2 and tail[0] in ZEROS and (digit := _digit(tail[1])) is not None:
            found.add(head * 100 + digit)
        rest = _two_digits(tail)
        if rest is not None and rest >= 10 and not (words[at - 1] in TENS and rest < 10):
            found.add(head * 100 + rest)
        if tail in (("00",), ("oh", "oh")):
            found.add(head * 100)
    return found


def _thousands(words: Words) -> set[int]:
    if "thousand" not in words:
        return set()
    at = words.index("thousand")
    head = 1 if words[:at] == ("a",) else _two_digits(words[:at])
    if head is None:
        return set()
    tail = words[at + 1 :]
    if not tail:
        return {head * 1000}
    rest = integers(tail[1:] if tail[0] == "and" else tail)
    return {head * 1000 + v for v in rest if v < 1000}


def run_at(words: Words, start: int) -> int:
    """Return the end of the longest stretch from ``start`` of words that could belong to numbers."""
    end = start
    while end < len(words) and (words[end] in INNER or is_numeral(words[end])):
        end += 1
    return end


@cache
def numbers_from(words: Words, start: int) -> tuple[tuple[int, frozenset[Decimal]], ...]:
    """Return ``(end, values)`` for every number that can begin at ``start``, the longest first."""
    if start >= len(words) or not (
        words[start] in STARTERS
        or is_numeral(words[start])
        or words[start] in ("a", "buck", "half", "quarter", "three")
    ):
        return ()
    before = words[start - 1] if start else ""
    if words[start] == "hundred" and (before in SEVERAL or is_number_word(before)):
        return ()  # "a couple hundred"; "bucket two hundred fifty" is no bucket two
    stop = min(run_at(words, start), start + 9)
    found = []
    for end in range(stop, start, -1):
        options = values(words[start:end])
        if options:
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


ONE = frozenset({"a", "an", "per"})
OF = frozenset({"a", "of"})
HALF_OF = frozenset({("half", "a"), ("half", "an")})
AND_A_HALF = frozenset({("and", "a", "half")})
RANGE_WORDS = frozenset({"to", "and", "through", "or", "til", "till", "thru"})


def written(text: str) -> str:
    """Return ``text`` as it is: English writes a decimal point."""
    return text


def number_words() -> frozenset[str]:
    """Return every word of the grammar, for a recogniser's vocabulary."""
    return frozenset((INNER | set(SMALL)) - set(SAID) - {"an", "n"})
