"""Turns typed or recognised text into plain lower-case words, the same for every later step."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from functools import lru_cache

_QUOTES = str.maketrans({"’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "−": "-", "—": " ", "º": "°"})
_MONEY = re.compile(r"\$(\d+)\.(\d\d)\b")
_THOUSANDS = re.compile(r"(?<![\d,.])(\d{1,3}),(\d{3})(?![\d,])")
_SIGN = re.compile(r"(?:(?<=\s)|^)-(?=\.?\d)")
_TOKEN = re.compile(r"\d{1,2}:\d{2}|[1-9]/\d{1,2}|\d+(?:\.\d+)?|\.\d+|[^\W\d_]+(?:'[^\W\d_]+)?")
_DIGIT_IS = re.compile(r"\b(\d)'s\b")
_ORDINAL = re.compile(r"(\d)(?:s|st|nd|rd|th)\b")
_DIGIT_THEN_LETTER = re.compile(r"(\d)([a-z])")
_DECIMALS = {
    "1/2": ".5", "1/4": ".25", "3/4": ".75", "1/8": ".125", "3/8": ".375", "5/8": ".625", "7/8": ".875",
    "½": ".5", "¼": ".25", "¾": ".75", "⅛": ".125", "⅜": ".375", "⅝": ".625", "⅞": ".875",
}  # fmt: skip
_MIXED = re.compile(r"(?<![\d./:,])(\d+) +(1/2|[13]/4|[1357]/8|[12]/3)(?![\d/])")
_FRACTION_SIGN = re.compile(r"(\d*) *([⅐-⅞½¼¾↉])")
_DROPPED_G = re.compile(r"\b([a-z]{3,}in)'(?![a-z])")
_PLAIN = re.compile(r"[a-z -]*(?: [0-9]+)?")
_BROKEN_NUMBER = re.compile(r"\d+,\d+|\d+\.\d+\.\d+|(?<!\d)0\d+-\d+|\d+-0\d\d+")

_BREAK = re.compile(r"(?<!\d)[,.;:](?=\s)|(?<=\d)[,.;:](?=\s|$)")

_BROKEN = "zzbrokenzz"
REMEMBERED = 4096
"""Texts whose words are kept: one turn looks at the same ones dozens of times."""

BROKEN = "<broken-number>"
"""Stands for digits that no person would write ("1,0001"): nothing may be read out of them."""


def without_accents(text: str) -> str:
    """Return ``text`` without accents; the tilde of the n goes with them."""
    if text.isascii():
        return text
    return "".join(mark for mark in unicodedata.normalize("NFD", text) if not unicodedata.combining(mark))


def normalise(text: str) -> str:
    """Return ``text`` in lower case with units, money and signs spelled out in English, without accents.

    Every language's number grammar takes the words of the signs, too: minus, percent, degrees.
    """
    text = text.lower() if text.isascii() else _plain_marks(text)
    text = _MONEY.sub(lambda m: f" {int(m[1]) * 100 + int(m[2])} ", text)
    text = _THOUSANDS.sub(r"\1\2", text)
    text = _MIXED.sub(_with_fraction, text)
    text = _SIGN.sub(" minus ", text)
    for mark, words in (
        ("%", " percent "),
        ("°f", " degrees fahrenheit "),
        ("°c", " degrees celsius "),
        ("°", " degrees "),
        ("#", " number "),
        ("&", " and "),
    ):
        text = text.replace(mark, words)
    return text


def _with_fraction(match: re.Match[str]) -> str:
    """Return "38 1/2" and "38½" as "38.5": no language may read them as 38. A third has no exact decimal."""
    decimal = _DECIMALS.get(match[2])
    return f"{match[1] or 0}{decimal} " if decimal else f"{_BROKEN} "


def _plain_marks(text: str) -> str:
    """Return ``text`` in lower case, without accents, with fractions in words and plain quotes."""
    text = _FRACTION_SIGN.sub(_with_fraction, text)
    return without_accents(unicodedata.normalize("NFKC", text).translate(_QUOTES).lower())


def words_of(text: str) -> tuple[str, ...]:
    """Return the words and numerals of ``text``; a malformed numeral becomes ``BROKEN``.

    Hyphens and apostrophe-s are opened up ("low-boy's" -> low, boy, 's dropped), because a
    recogniser writes them at random. For a table of thousands, each read once: others use ``tokenise``.
    """
    if text.isalpha() and text.isascii() and text.islower():
        return (text,)
    if _PLAIN.fullmatch(text):
        return tuple(text.replace("-", " ").split())  # most of the tables' words
    text = _BROKEN_NUMBER.sub(f" {_BROKEN} ", normalise(text))
    text = _DROPPED_G.sub(r"\1g", text)  # "sittin' at thirty eight"
    text = _DIGIT_IS.sub(r"\1 is", text)
    text = _ORDINAL.sub(r"\1", text)
    text = _DIGIT_THEN_LETTER.sub(r"\1 \2", text)
    words: list[str] = []
    for match in _TOKEN.finditer(text):
        word = match[0]
        if word == _BROKEN:
            words.append(BROKEN)
        elif word.removesuffix("'s") in _NUMBERS_OF_PLACES and word.endswith("'s"):
            words += [word[:-2], "is"]  # "two's thirty eight" is no "two thirty eight"
        elif word.endswith("'s") and word not in _KEPT_CONTRACTIONS:
            words.append(word[:-2])
        else:
            words.append(word.replace("'", ""))
    return tuple(words)


@lru_cache(maxsize=REMEMBERED)
def tokenise(text: str) -> tuple[str, ...]:
    """Return the words of ``text`` as ``words_of`` does; those of the last texts are remembered."""
    return words_of(text)


_NUMBERS_OF_PLACES = frozenset("one two three four five six seven eight nine".split())
_KEPT_CONTRACTIONS = frozenset(
    {
        "what's",
        "where's",
        "how's",
        "that's",
        "it's",
        "who's",
        "when's",
        "let's",
        "there's",
        "he's",
        "she's",
        "here's",
    }
)


def breaks_in(text: str, words: tuple[str, ...], heard: Callable[[str], tuple[str, ...]]) -> frozenset[int]:
    """Return before which words a comma stands, where the text can still be followed word for word.

    ``heard`` gives the words in which a part of it is heard.
    """
    at, found = 0, set[int]()
    for part in _BREAK.split(text):
        at += len(heard(part))
        found.add(at)
    return frozenset(found - {len(words)}) if at == len(words) else frozenset()
