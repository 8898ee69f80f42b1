"""The wake phrase: found at the start of an utterance, also as recognisers mishear it ("hay kitchen")."""

from __future__ import annotations

import re

from rapidfuzz import fuzz

LEAST_LIKENESS = 75.0
"""Likeness (0 to 100) of the words before the phrase's last word; that word itself has to be exact."""

_WORD = re.compile(r"[\w'-]+")


def strip_wake(text: str, phrase: str) -> tuple[str, bool]:
    """Return the rest of ``text`` after the wake phrase, and whether the phrase was there.

    The last word of the phrase has to be heard exactly; the words before it may differ by a sound.
    """
    wanted = [word.lower() for word in _WORD.findall(phrase)]
    spoken = list(_WORD.finditer(text))
    for start in range(min(2, len(spoken))):
        words = [match[0].lower() for match in spoken[start : start + len(wanted)]]
        if len(words) == len(wanted) and _alike(words, wanted):
            return text[spoken[start + len(wanted) - 1].end() :].lstrip(" ,.!?:;-"), True
    return text, False


def _alike(words: list[str], wanted: list[str]) -> bool:
    if words[-1].removesuffix("s") != wanted[-1].removesuffix("s"):
        return False
    head, want = " ".join(words[:-1]), " ".join(wanted[:-1])
    return not want or head in HEARD_AS.get(want, ()) or fuzz.ratio(head, want) >= LEAST_LIKENESS


HEARD_AS = {
    "hey": (
        "hay",
        "a",
        "ay",
        "eh",
        "8",
        "eight",
        "aid",
        "he",
        "pay",
        "they",
        "cake",
        "hate",
        "okay",
        "hi",
        "egg",
        "take",
        "day",
        "hate",
        "ate",
        "hays",
        "heya",
        "yeah",
    )
}
"""What recognisers made of the first word in the synthetic clips."""
