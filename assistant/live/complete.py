"""Whether what was heard so far is a whole command, so that a short silence may end it."""

from __future__ import annotations

from typing import Literal

from assistant.dialogue.wake import strip_wake
from intents.interpret import Interpreter

Completeness = Literal["complete", "open", "unknown"]

HANG_S: dict[Completeness, float] = {"complete": 0.3, "unknown": 0.6, "open": 1.1}
"""Silence that ends an utterance, by what was heard so far. Measured in tests/benchmarks."""

SURE = 2.4
"""A match this good is a whole question."""


def completeness(text: str, interpreter: Interpreter, wake_phrase: str) -> Completeness:
    """Judge a partial text: a place without its number and a bare wake phrase stay open."""
    rest, _ = strip_wake(text, wake_phrase)
    if not rest.strip():
        return "open"
    read = interpreter.interpret(rest)
    if read.readings.options:
        return "complete" if len(read.readings.options) == 1 else "unknown"
    names = [span for kind in ("equipment", "food") for span in read.heard.names.get(kind, ())]
    ends_with_name = any(span.end == len(read.heard.words) for span in names)
    if read.best is not None and read.best.score >= SURE and not read.best.left_over:
        return "complete"
    if ends_with_name and read.best is None:
        return "open"
    if read.heard.words and read.heard.words[-1] in _OPEN_ENDS:
        return "open"
    return "unknown"


_OPEN_ENDS = frozenset(
    "and the a of is at in on for with to or point minus number my over under above below".split()
)
