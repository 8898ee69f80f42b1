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
from assistant.dialogue.wake import strip_wake
from intents.hypotheses import Hypotheses
from tests.benchmarks.hearing_speech import WAKE_PHRASE, Sentence

Outcome = Literal[
    "right", "asked", "unheard", "unsure", "wrong", "wrong number", "ignored", "answered", "logged"
]
"""For commands: the first six. ``asked`` is a question, or a wish to hear it again, that the typed words
do not bring; ``unheard`` got no answer at all; ``unsure`` that there is no rule for it; ``wrong`` another
answer, but nothing wrong in the log. For chatter, taken as if it had been addressed to the assistant:
``ignored``, ``answered``, or ``logged``."""

Road = Callable[[tuple[str, ...], Hypotheses], Turn]
"""Runs typed turns, then one heard turn, in a fresh conversation with an empty log; gives the last turn."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """The outcome of one trial, whether it was addressed (wake phrase heard), and what was replied.

    ``wording`` is true when the typed words are answered rightly: whatever then goes wrong is the ear's.
    """

    outcome: Outcome
    woken: bool
    reply: str
    wording: bool = True


def numbers(text: str) -> tuple[Decimal, ...]:
    """Read the semicolon-parted numbers of a table cell."""
    return tuple(Decimal(part) for part in text.split(";") if part)


def deeds(turn: Turn) -> list[tuple[str, str, str | None, str]]:
    """Everything the turn wrote down: kind, subject, value and unit of each entry."""
    return [(entry.kind, entry.subject.removesuffix("s"), entry.value, entry.unit) for entry in turn.entries]


def logged(turn: Turn) -> list[tuple[str, Decimal]]:
    """Place and value of what the turn wrote down as measured or corrected."""
    measured = [e for e in deeds(turn) if e[0] in ("reading", "correction")]
    return [(subject, Decimal(value)) for _, subject, value, _ in measured if value is not None]


def expected_places(sentence: Sentence) -> list[tuple[str, Decimal]]:
    """Place and value of every reading that the sentence reports; a correction has a value only."""
    places = sentence.subject.split(";")
    return list(zip(places, numbers(sentence.values), strict=False))


def wrongly_logged(sentence: Sentence, typed: Turn, heard: Turn) -> bool:
    """Tell whether the heard turn logged a value, or a place, that was not said.

    For a reading the command set says what was said; otherwise (a yes, a correction of what came before)
    only what the typed turn logs may be logged.
    """
    said = expected_places(sentence) if sentence.topic == "reading" else logged(typed)
    meant = {(_place(place), value) for place, value in said}
    return any((_place(place), value) not in meant for place, value in logged(heard))


def _place(subject: str) -> str:
    """The place without a trailing unit number of one and without plural ("quat bucket 1", "soups")."""
    return subject.removesuffix(" 1").removesuffix("s")


def typed_is_right(sentence: Sentence, typed: Turn) -> bool:
    """Tell whether the typed turn does what the command set says by hand."""
    if typed.intent not in sentence.intent.split(";") or wrongly_logged(sentence, typed, typed):
        return False
    values = [value for _, value in logged(typed)]
    if sentence.topic == "correction" and sentence.values:
        return values == list(numbers(sentence.values))
    if sentence.topic == "reading" and not typed.asks:
        return len(values) == len(expected_places(sentence))
    return True


def same_deed(typed: Turn, heard: Turn) -> bool:
    """Tell whether both turns log the same, ask alike and answer alike."""
    if typed.intent != heard.intent or typed.asks != heard.asks or deeds(typed) != deeds(heard):
        return False
    return bool(deeds(typed)) or typed.reply == heard.reply


def woken(hypotheses: Hypotheses) -> bool:
    """Tell whether the program would take the utterance as addressed to it."""
    return hypotheses.woken or strip_wake(hypotheses.best, WAKE_PHRASE)[1]


def judge(sentence: Sentence, typed: Turn, heard: Turn, hypotheses: Hypotheses) -> Verdict:
    """Return the outcome of one trial."""
    outcome = _of_chatter(heard) if sentence.kind == "chatter" else _outcome(sentence, typed, heard)
    wording = typed.silent if sentence.kind == "chatter" else typed_is_right(sentence, typed)
    return Verdict(outcome, woken(hypotheses), heard.reply, wording)


def _of_chatter(heard: Turn) -> Outcome:
    if heard.entries:
        return "logged"
    return "ignored" if heard.silent else "answered"


def _outcome(sentence: Sentence, typed: Turn, heard: Turn) -> Outcome:
    if wrongly_logged(sentence, typed, heard):
        return "wrong number"
    if typed_is_right(sentence, typed) and (same_deed(typed, heard) or _reported(sentence, heard)):
        return "right"
    if heard.silent:
        return "unheard"
    if heard.asks or (heard.intent == "reading" and not heard.entries):
        return "asked"
    return "unsure" if heard.intent == "unsure" else "wrong"


def _reported(sentence: Sentence, heard: Turn) -> bool:
    """Tell whether the turn logs just what was said, also where the typed words would be asked about.

    A recogniser that writes "150" settles what "one fifty" leaves open after "bucket".
    """
    return sentence.topic == "reading" and not heard.asks and typed_is_right(sentence, heard)
