"""Second stage of the hearing benchmark: what the assistant makes of what was heard.

A trial is right when the assistant does from sound what it does from the typed words, and the typed road
does what the command set says by hand: intent, numbers and place. Whatever else ends up in the log from
it is a wrong number, the fault that counts most.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from assistant.dialogue.turn import Turn
from intents.hypotheses import Hypotheses
from tests.benchmarks.hearing_speech import Sentence

Outcome = Literal["right", "asked", "unheard", "wrong", "wrong number", "ignored", "acted"]
"""For commands: the first five. ``unheard`` got no answer at all; ``wrong`` another answer, nothing wrong
logged. For chatter: ``ignored`` or ``acted``."""

Road = Callable[[tuple[str, ...], Hypotheses], Turn]
"""Runs typed turns, then one heard turn, in a fresh conversation with an empty log; gives the last turn."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """The outcome of one trial, and whether it held a spoken number that went into the log."""

    outcome: Outcome
    logged: bool
    reply: str


def numbers(text: str) -> tuple[Decimal, ...]:
    """Read the semicolon-parted numbers of a table cell."""
    return tuple(Decimal(part) for part in text.split(";") if part)


def logged(turn: Turn) -> list[tuple[str, Decimal, str]]:
    """Place, value and unit of what the turn wrote down as measured or corrected."""
    return [
        (entry.subject, Decimal(entry.value), entry.unit)
        for entry in turn.entries
        if entry.kind in ("reading", "correction") and entry.value is not None
    ]


def expected_places(sentence: Sentence) -> list[tuple[str, Decimal]]:
    """Place and value of every reading that the sentence reports; a correction has a value only."""
    places = sentence.subject.split(";")
    return list(zip(places, numbers(sentence.values), strict=True))


def wrongly_logged(sentence: Sentence, turn: Turn) -> bool:
    """Tell whether the turn logged a value, or a place, that was not said."""
    rows = logged(turn)
    if sentence.topic == "correction":
        return any(value not in numbers(sentence.values) for _, value, _ in rows)
    if sentence.topic != "reading":
        return bool(rows)
    said = expected_places(sentence)
    return any((_place(place), value) not in said for place, value, _ in rows)


def _place(subject: str) -> str:
    """The place without a trailing unit number of one ("quat bucket 1" is the quat bucket)."""
    return subject.removesuffix(" 1")


def typed_is_right(sentence: Sentence, turn: Turn) -> bool:
    """Tell whether the typed turn does what the command set says by hand."""
    if turn.intent not in sentence.intent.split(";") or wrongly_logged(sentence, turn):
        return False
    if sentence.topic == "reading" and not turn.asks:
        return len(logged(turn)) == len(expected_places(sentence))
    return True


def same_deed(typed: Turn, heard: Turn) -> bool:
    """Tell whether both turns log the same, ask alike and answer alike."""
    if typed.intent != heard.intent or typed.asks != heard.asks or logged(typed) != logged(heard):
        return False
    return bool(logged(typed)) or typed.reply == heard.reply


def judge(sentence: Sentence, typed: Turn, heard: Turn) -> Verdict:
    """Return the outcome of one trial."""
    wrote = bool(logged(heard))
    if sentence.kind == "chatter":
        acted = not heard.silent or bool(heard.entries)
        return Verdict("acted" if acted else "ignored", wrote, heard.reply)
    return Verdict(_outcome(sentence, typed, heard), wrote, heard.reply)


def _outcome(sentence: Sentence, typed: Turn, heard: Turn) -> Outcome:
    if wrongly_logged(sentence, heard):
        return "wrong number"
    if typed_is_right(sentence, typed) and same_deed(typed, heard):
        return "right"
    if heard.silent:
        return "unheard"
    return "asked" if heard.asks else "wrong"
