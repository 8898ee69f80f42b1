"""Which food words mean that only point into the row of those read last: "the second one 140"."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import candidates, recording
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.named_among import pointers
from assistant.dialogue.outcome import Outcome
from intents.mentions import READ, Understanding


def read_back(talk: Conversation, read: Understanding) -> Outcome | None:
    """Read back a number of one of the foods read last that only its row names: "the second one 140"."""
    readings = [candidates.as_read(talk, line) for line in candidates.read_last(talk)]
    several = len({r.subject for r in readings}) == len(readings) > 1
    if not several or any(r.subject_kind != "food" for r in readings) or read.asks:
        return None
    found = pointers(talk, read, [r.subject for r in readings], told=True)
    behind = [m for m in read.free_measures if m.kind in READ and found and m.start >= found[0].end]
    small = talk.interpreter.lexicon.small("read_at", "deed_articles")
    if len(found) != 1 or len(behind) != 1 or len(behind[0].options) != 1:
        return None
    if found[0].denied or len(found[0].places) != 1 or not read.only((*found, *behind), small):
        return None
    told = next(r for r in readings if r.subject in found[0].places)
    value = replace(told, value=behind[0].value, said_at="", bound="", upper=None)
    return recording.confirm(talk, (value,))
