"""Turns typed or recognised text into plain lower-case words, the same for every later step."""

from __future__ import annotations

import re
import unicodedata

_QUOTES = str.maketrans({"’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": " ", "º": "°"})
_MONEY = re.compile(r"\$(\d+)\.(\d\d)\b")
_THOUSANDS = re.compile(r"(?<![\d,.])(\d{1,3}),(\d{3})(?![\d,])")
_SIGN = re.compile(r"(?:(?<=\s)|^)-(?=\.?\d)")
_TOKEN = re.compile(r"\d{1,2}:\d{2}|[1-9]/\d{1,2}|\d+(?:\.\d+)?|\.\d+|[^\W\d_]+(?:'[^\W\d_]+)?")
_DIGIT_IS = re.compile(r"\b(\d)'s\b")
_ORDINAL = re.compile(r"(\d)(?:s|st|nd|rd|th)\b")
_DIGIT_THEN_LETTER = re.compile(r"(\d)([a-z])")
_FRACTIONS = {"½": " and a half", "¼": " and a quarter", "¾": " and three quarters"}
_DROPPED_G = re.compile(r"\b([a-z]{3,}in)'(?![a-z])")
_PLAIN = re.compile(r"[a-z ]*")
_BROKEN_NUMBER = re.compile(r"\d+,\d+|\d+\.\d+\.\d+|(?<!\d)0\d+-\d+|\d+-0\d\d+")

BROKEN = "<broken-number>"
"""Stands for digits that no person would write ("1,0001"): nothing may be read out of them."""


def without_accents(text: str) -> str:
    """Return ``text`` without accents; the tilde of the n goes with them."""
    return "".join(mark for mark in unicodedata.normalize("NFD", text) if not unicodedata.combining(mark))


def normalise(text: str) -> str:
    """Return ``text`` in lower case with units, money and signs spelled out, without accents."""
    text = text.lower() if text.isascii() else _plain_marks(text)
    text = _MONEY.sub(lambda m: f" {int(m[1]) * 100 + int(m[2])} ", text)
    text = _THOUSANDS.sub(r"\1\2", text)
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


def _plain_marks(text: str) -> str:
    """Return ``text`` in lower case, without accents, with fractions in words and plain quotes."""
    text = unicodedata.normalize("NFKC" if "½" not in text else "NFC", text).translate(_QUOTES).lower()
    text = without_accents(text)
    for sign, words in _FRACTIONS.items():
        text = text.replace(sign, words)
    return text


def tokenise(text: str) -> tuple[str, ...]:
    """Return the words and numerals of ``text``; a malformed numeral becomes ``BROKEN``.

    Hyphens and apostrophe-s are opened up ("low-boy's" -> low, boy, 's dropped), because a
    recogniser writes them at random.
    """
    if _PLAIN.fullmatch(text):
        return tuple(text.split())  # most of the tables' words
    text = _BROKEN_NUMBER.sub(f" {'zzbrokenzz'} ", normalise(text))
    text = _DROPPED_G.sub(r"\1g", text)  # "sittin' at thirty eight"
    text = _DIGIT_IS.sub(r"\1 is", text)
    text = _ORDINAL.sub(r"\1", text)
    text = _DIGIT_THEN_LETTER.sub(r"\1 \2", text)
    words: list[str] = []
    for match in _TOKEN.finditer(text):
        word = match[0]
        if word == "zzbrokenzz":
            words.append(BROKEN)
        elif word.removesuffix("'s") in _NUMBERS_OF_PLACES and word.endswith("'s"):
            words += [word[:-2], "is"]  # "two's thirty eight" is no "two thirty eight"
        elif word.endswith("'s") and word not in _KEPT_CONTRACTIONS:
            words.append(word[:-2])
        else:
            words.append(word.replace("'", ""))
    return tuple(words)


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
