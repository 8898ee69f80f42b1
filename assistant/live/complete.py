"""Whether what was heard so far is a whole command, so that a short silence may end it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from assistant.dialogue.pending import is_new
from assistant.dialogue.wake import after_wake, strip_wake
from intents.hypotheses import Hypotheses, Hypothesis
from intents.interpret import Interpretation, Interpreter
from intents.language import language

Completeness = Literal["complete", "number", "unknown", "open"]
""" "number": complete, but its last number may go on ("thirty" ... "eight")."""

HANG_S: dict[Completeness, float] = {"complete": 0.3, "number": 0.45, "unknown": 0.6, "open": 1.1}
"""Silence that ends an utterance, by what was heard so far. Measured in tests/benchmarks."""

FEWEST = 3
"""A sentence of fewer words may only have begun ("and the", "why is")."""
SURE = 0.8
"""With this share of the net a question is whole."""


def completeness(
    text: str,
    interpreter: Interpreter,
    wake_phrase: str,
    woken: bool = False,
    awaited: Callable[[Interpretation], bool] = lambda _: False,
) -> Completeness:
    """Judge a partial text: a place without its number and a bare wake phrase stay open.

    ``woken``: the phrase was heard somewhere in the sound, perhaps after other talk, or is written otherwise.
    ``awaited`` tells whether the conversation waits for just this ("yes", "and the turkey").
    """
    rest, found = strip_wake(text, wake_phrase)
    if woken and not found:
        rest = after_wake(Hypotheses((Hypothesis(text),), 1.0, "", "", woken=True), wake_phrase).best
    if not rest.strip():
        return "open"
    read = interpreter.interpret(rest)
    if read.readings.options:
        if len(read.readings.options) > 1:
            return "unknown"
        return "number" if _may_go_on(read, interpreter.lexicon.language) else "complete"
    if awaited(read):
        return "number" if _may_go_on(read, interpreter.lexicon.language) else "complete"
    names = [span for kind in ("equipment", "food") for span in read.heard.names.get(kind, ())]
    ends_with_name = any(span.end == len(read.heard.words) for span in names)
    if read.heard.words and read.heard.words[-1] in _OPEN_ENDS:
        return "open"
    if is_new(read) and read.meaning.best.share >= SURE and len(read.heard.words) >= FEWEST:
        return "complete"
    if ends_with_name and read.best is None:
        return "open"
    return "unknown"


def _may_go_on(read: Interpretation, code: str) -> bool:
    """Tell whether the words end with a number that a digit or "hundred" may follow: 4, 30, 160 or 200."""
    words, numbers = read.heard.words, language(code).numbers
    for start in range(max(0, len(words) - _LONGEST_NUMBER), len(words)):
        if values := numbers.integers(words[start:]):
            if start and numbers.is_number_word(words[start - 1]):
                return False  # after "minus" or "point"
            return any(value < 10 or (value >= 20 and value % 10 == 0) for value in values)
    return False


_LONGEST_NUMBER = 5
_OPEN_ENDS = frozenset(
    "and the a of is at in on for with to or point minus number my over under above below".split()
)
