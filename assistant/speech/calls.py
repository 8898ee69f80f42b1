"""Whether an utterance opens with the wake phrase: two listeners' opinions and one table (``calls.toml``).

Neither decides alone where both can judge: people say the phrase in ways that the streaming listener never
learnt, and a rhyme of it ("hey pitch in") is nearly the phrase to a listener that expects kitchen talk.
"""

from __future__ import annotations

import math
import re
import tomllib
from dataclasses import dataclass
from enum import Enum
from functools import cache
from pathlib import Path


class Call(Enum):
    """What is known of whether the utterance opens with the phrase."""

    BY_WORDS = "by words"  # this recogniser has no opinion: what it writes has to tell
    OPEN = "open"  # not yet known
    YES = "yes"
    NO = "no"  # so far: more sound may show it


@dataclass(frozen=True)
class Opinions:
    """What each listener makes of an utterance's first sound, in natural logarithms.

    ``written``: log-odds that the one who writes the words writes the phrase first; ``unsaid``: the same
    where nothing is said. ``margin``: by how much the phrase fits better than anything else to the listener
    for the phrase alone, None where that one lacks a word of it.
    """

    written: float
    unsaid: float
    margin: float | None


def opens_with_call(opinions: Opinions) -> bool:
    """Tell whether the table takes these opinions for a call."""
    table = _table()
    margin = table["margin_unknown"] if opinions.margin is None else opinions.margin
    gained = opinions.written - opinions.unsaid + table["worth_of_margin"] * margin
    return may_be_call(opinions.written) and gained >= table["least_gained"]


def may_be_call(written: float) -> bool:
    """Tell whether the phrase is likely enough for the other listener to be asked."""
    return written >= _table()["least_written"]


def log_odds(log_probability: float) -> float:
    """Return the log-odds of something so likely, from -30 to 30."""
    bounded = min(-1e-13, max(-30.0, log_probability))
    return bounded - math.log(-math.expm1(bounded))


def spellings(phrase: str) -> tuple[str, ...]:
    """Return the ways in which a listener may write ``phrase``: as said, as a name, and in one word."""
    words = re.findall(r"[\w'-]+", phrase.lower())
    names = " ".join(word.capitalize() for word in words)
    return tuple(dict.fromkeys((" ".join(words), names, "".join(words))))


@cache
def _table() -> dict[str, float]:
    table = tomllib.loads(Path(__file__).with_name("calls.toml").read_text(encoding="utf-8"))
    return {key: float(value) for key, value in table.items()}
