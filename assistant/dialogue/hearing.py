"""Chooses what was meant among the n-best hypotheses, and how sure the numbers are."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from intents.hypotheses import Hypotheses
from intents.interpret import Interpretation

Numbers = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Heard:
    """The interpretation that counts, and the share of the n-best mass that agrees on its numbers."""

    interpretation: Interpretation
    text: str
    agreement: float
    typed: bool


def numbers_of(interpretation: Interpretation) -> Numbers:
    """Return every number in an utterance with the place it was said of, for comparing hypotheses."""
    if interpretation.readings.options:
        first = interpretation.readings.options[0]
        return tuple(
            (f"{r.subject} {r.bound}".strip(), f"{value.normalize():f}")
            for r in first
            for value in (r.value, r.upper)
            if value is not None
        )
    return tuple((m.kind, f"{m.value.normalize():f}") for m in interpretation.heard.measures)


_JOINED = re.compile(r"(?<![\d.:,$-])([1-9])([1-9]\d)(?![\d%]|[.:,]\d)")


def as_spoken(text: str) -> str:
    """Open up a recogniser's numerals: "bucket 150" may have been "bucket one, fifty".

    The number grammar then sees both, and the dialogue asks where both make sense.
    """
    return _JOINED.sub(r"\1 \2", text)


def _agrees(other: Interpretation, wanted: Numbers, likeliest: bool) -> bool:
    """True for the same numbers of the same places.

    Where the ``likeliest`` hypothesis was chosen, words that mean nothing whole agree by their numbers:
    "cloring bucket 100" is no other number than "chlorine bucket 100", only worse spelling.
    """
    found = numbers_of(other)
    if found == wanted:
        return True
    spelled_worse = likeliest and not other.readings.options and not other.matches
    return bool(wanted) and spelled_worse and [value for _, value in found] == [value for _, value in wanted]


def choose(hypotheses: Hypotheses, interpret: Callable[[str], Interpretation]) -> Heard | None:
    """Return the likeliest hypothesis that means something whole, or the likeliest at all.

    A hypothesis that parses wins over a likelier one that does not. Its numbers' agreement is the
    share of all hypotheses that hold the same numbers for the same places.
    """
    if not hypotheses.alternatives:
        return None
    typed = hypotheses.engine == "typed"
    read = [(h, interpret(h.text if typed else as_spoken(h.text))) for h in hypotheses.alternatives]
    chosen = next((item for item in read if item[1].readings.options or item[1].matches), read[0])
    wanted = numbers_of(chosen[1])
    total = sum(h.share for h, _ in read) or 1.0
    likeliest = chosen is read[0]
    agreeing = sum(h.share for h, each in read if _agrees(each, wanted, likeliest))
    return Heard(chosen[1], chosen[0].text, agreeing / total, hypotheses.engine == "typed")
