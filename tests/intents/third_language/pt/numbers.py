"""Numbers as they are said in Brazilian Portuguese: "cento e trinta e cinco", "um oitenta", "menos dezoito".

Words come without accents. "Meia" is six where three digits or more are
said one by one ("um meia zero").
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache, lru_cache

Words = tuple[str, ...]

ONE = frozenset({"um", "uma"})
OF = frozenset({"de", "do", "da"})
HALF_OF = frozenset({("meio",), ("meia",)})
AND_A_HALF = frozenset({("e", "meio"), ("e", "meia")})
RANGE_WORDS = frozenset({"a", "ate"})

_DIGITS = {
    "zero": 0, "um": 1, "uma": 1, "dois": 2, "duas": 2, "tres": 3, "quatro": 4, "cinco": 5,
    "seis": 6, "sete": 7, "oito": 8, "nove": 9,
}  # fmt: skip
_SIX = "meia"
_TEENS = {
    "dez": 10, "onze": 11, "doze": 12, "treze": 13, "catorze": 14, "quatorze": 14, "quinze": 15,
    "dezesseis": 16, "dezasseis": 16, "dezessete": 17, "dezassete": 17, "dezoito": 18,
    "dezenove": 19, "dezanove": 19,
}  # fmt: skip
_TENS = {
    "vinte": 20, "trinta": 30, "quarenta": 40, "cinquenta": 50, "sessenta": 60, "setenta": 70, "oitenta": 80,
    "noventa": 90,
}  # fmt: skip
_HUNDREDS = {
    "cem": 100, "cento": 100, "duzentos": 200, "duzentas": 200, "trezentos": 300, "trezentas": 300,
    "quatrocentos": 400, "quatrocentas": 400, "quinhentos": 500, "quinhentas": 500, "seiscentos": 600,
    "seiscentas": 600, "setecentos": 700, "setecentas": 700, "oitocentos": 800, "oitocentas": 800,
    "novecentos": 900, "novecentas": 900,
}  # fmt: skip
_THOUSAND = "mil"
_AND = "e"
_MINUS = frozenset({"menos", "negativo", "minus"})  # the last stands for a sign as written
_MINUS_AFTER = (("negativo",), ("negativos",), ("abaixo", "de", "zero"), ("abaixo", "do", "zero"))
_POINT = frozenset({"virgula", "ponto"})
_NUMERAL = re.compile(r"[+-]?\d+([.,]\d+)?")
_ARTICLES = (("um",), ("uma",))
_LONGEST = 12


def is_numeral(word: str) -> bool:
    """True for digits as written."""
    return bool(_NUMERAL.fullmatch(word))


def is_number_word(word: str) -> bool:
    """True when ``word`` can begin or continue a number all by itself."""
    return any(word in table for table in (_DIGITS, _TEENS, _TENS, _HUNDREDS)) or word == _THOUSAND


def _under_hundred(words: Words) -> int | None:
    match words:
        case (one,) if one in _DIGITS and one != "zero":
            return _DIGITS[one]
        case (one,):
            return _TEENS.get(one, _TENS.get(one))
        case (tens, "e", digit) if tens in _TENS and _DIGITS.get(digit):
            return _TENS[tens] + _DIGITS[digit]
        case (tens, digit) if tens in _TENS and _DIGITS.get(digit):  # the "e" is swallowed in noise
            return _TENS[tens] + _DIGITS[digit]
    return None


def _under_thousand(words: Words) -> int | None:
    if not words:
        return None
    if words[0] not in _HUNDREDS:
        return _under_hundred(words)
    hundreds = _HUNDREDS[words[0]]
    if len(words) == 1:
        return None if words[0] == "cento" else hundreds
    if words[0] == "cem":
        return None
    rest = _under_hundred(words[2:] if words[1] == _AND else words[1:])
    return None if rest is None else hundreds + rest


def _whole(words: Words) -> int | None:
    """Return the number that is said in full."""
    if words == ("zero",):
        return 0
    if _THOUSAND not in words:
        return _under_thousand(words)
    at = words.index(_THOUSAND)
    before, after = words[:at], words[at + 1 :]
    thousands = _under_thousand(before) if before else 1
    if thousands is None:
        return None
    if not after:
        return thousands * 1000
    rest = _under_thousand(after[1:] if after[0] == _AND else after)
    return None if rest is None else thousands * 1000 + rest


def _digit_by_digit(words: Words) -> int | None:
    """Return "um dois zero" as 120, "três meia" as 36; one digit alone is no such row."""
    if not 2 <= len(words) <= 4 or words[0] == "zero":
        return None
    digits = [6 if word == _SIX else _DIGITS.get(word) for word in words]
    if words[0] == _SIX or None in digits or (_SIX in words and len(words) < 3):  # "duas e meia" is a half
        return None
    return int("".join(str(digit) for digit in digits))


def _in_two(words: Words) -> frozenset[int]:
    """Return "um oitenta e quatro" as 184, "dois zero cinco" as 205: a digit, then two."""
    if len(words) < 2 or not _DIGITS.get(words[0]):
        return frozenset()
    rest = _under_hundred(words[1:])
    if rest is not None and rest >= 10:
        return frozenset({_DIGITS[words[0]] * 100 + rest})
    return frozenset()


@lru_cache(maxsize=4096)
def integers(words: Words) -> frozenset[int]:
    """Return every whole number without a sign that all of ``words`` can mean."""
    if len(words) == 1 and words[0].isdecimal():
        return frozenset({int(words[0])})
    found = set(_in_two(words))
    for number in (_whole(words), _digit_by_digit(words)):
        if number is not None:
            found.add(number)
    return frozenset(found)


def _unsigned(words: Words) -> frozenset[Decimal]:
    if len(words) == 1 and re.fullmatch(r"\d+[.,]\d+", words[0]):
        return frozenset({Decimal(words[0].replace(",", "."))})
    found = {Decimal(number) for number in integers(words)}
    if len(words) > 2 and words[-2:] in AND_A_HALF:
        found |= {Decimal(number) + Decimal("0.5") for number in integers(words[:-2])}
    for at, word in enumerate(words):
        if word in _POINT:
            found |= _with_point(words[:at], words[at + 1 :])
    return frozenset(found)


def _with_point(before: Words, after: Words) -> frozenset[Decimal]:
    if not before or not after:
        return frozenset()
    if all(word in _DIGITS or word == _SIX for word in after):
        fractions = {"".join(str(6 if word == _SIX else _DIGITS[word]) for word in after)}
    elif len(after) == 1 and after[0].isdecimal():
        fractions = {after[0]}
    else:
        fractions = {str(number) for number in integers(after)}
    wholes = integers(before)
    return frozenset(Decimal(f"{whole}.{fraction}") for whole in wholes for fraction in fractions)


@lru_cache(maxsize=4096)
def values(words: Words) -> frozenset[Decimal]:
    """Return every value that all of ``words`` together can mean."""
    if not words:
        return frozenset()
    if len(words) == 1 and is_numeral(words[0]):
        return frozenset({Decimal(words[0].replace(",", "."))})
    if words[0] in _MINUS:
        return frozenset(-value for value in _unsigned(words[1:]))
    for after in _MINUS_AFTER:
        if len(words) > len(after) and words[-len(after) :] == after:
            return frozenset(-value for value in _unsigned(words[: -len(after)]))
    return _unsigned(words)


def numbers_from(words: Words, start: int) -> tuple[tuple[int, frozenset[Decimal]], ...]:
    """Return ``(end, values)`` for every number that can begin at ``start``, the longest first."""
    if start >= len(words):
        return ()
    first = words[start]
    if not (is_numeral(first) or first in _MINUS or is_number_word(first)):
        return ()
    found = []
    for end in range(min(len(words), start + _LONGEST), start, -1):
        meant = values(words[start:end])
        if meant and words[start:end] not in _ARTICLES:
            found.append((end, meant))
    return tuple(found)


def written(text: str) -> str:
    """Return written ``text`` with its decimal mark as a point ("38,5", "1.200")."""
    text = re.sub(r"(?<![\d.,])([1-9]\d{0,2})\.(\d{3})(?![\d.,])", r"\1\2", text)
    return re.sub(r"(?<=\d),(?=\d)", ".", text)


@cache
def number_words() -> frozenset[str]:
    """Return every word of the grammar, for a recogniser's vocabulary."""
    after = {word for phrase in _MINUS_AFTER for word in phrase}
    small = {_AND, _THOUSAND, _SIX, "meio", *_MINUS, *_POINT, *after}
    return frozenset({*_DIGITS, *_TEENS, *_TENS, *_HUNDREDS, *small})
