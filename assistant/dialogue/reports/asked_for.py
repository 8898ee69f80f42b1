"""The number that was asked for, where only a bound was said before ("walk-in's just under forty")."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.state import Pending

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

NEAR = "note_near"


def answered(talk: Conversation, heard: Heard, waiting: Pending) -> Outcome | None:
    """Take the number that was asked for, with or without its place."""
    asked = waiting.readings[0]
    if heard.interpretation.readings.options or heard.interpretation.heard.has(NEAR):
        return None
    kind = asked.subject_kind
    readings = talk.interpreter.answer_for(kind, asked.subject, talk.without_wake(heard.text)).certain
    if not readings:
        readings = talk.interpreter.answer_for(kind, asked.subject, _after_its_source(talk, heard)).certain
    return recording.take(talk, readings, heard) if len(readings) == 1 else None


def _after_its_source(talk: Conversation, heard: Heard) -> str:
    """Return what follows "says" in "the other one says thirty nine": which gauge it was is no matter."""
    read = heard.interpretation.heard
    shown = [i for i, word in enumerate(read.words) if word in talk.interpreter.lexicon.list("gauge_shows")]
    return " ".join(read.words[shown[-1] + 1 :]) if shown else ""
