"""A number told together with a gauge that cannot be trusted: it is no reading, another thermometer is."""

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


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Ask for a working thermometer's number; ``None`` where no gauge was called wrong."""
    read = heard.interpretation.heard
    at = _told_from(talk, read)
    if not at or heard.interpretation.readings.options or asks(read):
        return None
    readings = talk.interpreter.interpret(" ".join(read.words[:at])).readings.certain
    if len(readings) != 1 or any(m.end > at for m in read.free_measures):
        return None
    name = talk.shown(readings[0].subject)
    answer = Answer("other_gauge", {"place": name[:1].upper() + name[1:]})
    waiting = Pending("value", talk.clock.now(), readings=readings)
    return Outcome(answer, recording.READING, pending=waiting)


def _told_from(talk: Conversation, read: Understanding) -> int:
    """Return where "but the thermometer is broken" begins, or 0."""
    lexicon = talk.interpreter.lexicon
    joins = lexicon.list("asides") | lexicon.list("joins")
    for at, word in enumerate(read.words):
        if at and (word in joins or word in lexicon.list("doubting")):
            told = f" {' '.join(read.words[at:])} "
            named = lexicon.list("gauges") & set(read.words[at:])
            if named and any(f" {phrase} " in told for phrase in lexicon.list("gauge_untrue")):
                return at
    return 0
