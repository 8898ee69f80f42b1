"""A number that is only a bound ("walk-in's just under forty"): what the gauge shows is asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.answer import Answer
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.state import Pending
from assistant.dialogue.statements import asks
from intents.mentions import Understanding

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

NEAR = "note_near"


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Ask for the number itself where one place and only a bound were said; ``None`` otherwise."""
    read = heard.interpretation.heard
    if not read.has(NEAR) or heard.interpretation.readings.options or asks(read):
        return None
    readings = talk.interpreter.interpret(_without_bound(talk, read)).readings.certain
    if len(readings) != 1:
        return None
    name = talk.shown(readings[0].subject)
    answer = Answer("exact", {"place": name[:1].upper() + name[1:]})
    waiting = Pending("value", talk.clock.now(), readings=readings)
    return Outcome(answer, recording.READING, pending=waiting)


def answered(talk: Conversation, heard: Heard, waiting: Pending) -> Outcome | None:
    """Take the number that was asked for, with or without its place."""
    asked = waiting.readings[0]
    if heard.interpretation.readings.options or heard.interpretation.heard.has(NEAR):
        return None
    kind = asked.subject_kind
    readings = talk.interpreter.answer_for(kind, asked.subject, talk.without_wake(heard.text)).certain
    return recording.take(talk, readings, heard) if len(readings) == 1 else None


def _without_bound(talk: Conversation, read: Understanding) -> str:
    """Return the words without each bound that stands before a number."""
    starts = {m.start for m in read.free_measures}
    bounds = [s for s in read.concepts if s.value == NEAR and _before_number(talk, read, s.end, starts)]
    left_out = {i for s in bounds for i in range(s.start, s.end)}
    return " ".join(word for i, word in enumerate(read.words) if i not in left_out)


def _before_number(talk: Conversation, read: Understanding, at: int, starts: set[int]) -> bool:
    while at < len(read.words) and at not in starts and read.words[at] in talk.interpreter.lexicon.links:
        at += 1
    return at in starts
