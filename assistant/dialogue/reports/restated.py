"""Reports in short form, read as if said in full: the ways to fill in what the cook left out, in order.

Only what reads as nothing by itself is filled in. The words that are kept with an entry stay those heard.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue import cooling_begun, heated, recording, round_parts, thawing_told
from assistant.dialogue.emergencies import emergency_in
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports import buckets_apart, machine_pairs, of_batches, pieces, take, told_apart
from intents.meaning import NONE

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation


def first(talk: Conversation, heard: Heard) -> tuple[Heard, Outcome] | None:
    """Return what is done with a report whose short form is plain, and the utterance as read, or ``None``."""
    read = heard.interpretation
    if not read.heard.words:
        return None
    if _waits(talk, heard):
        taken = take.report(talk, heard)
        told = taken.readings if taken is not None and not _broken_off(talk, heard) else ()
        return heard, recording.confirm(talk, told) if told else Outcome(None, "", keep_context=True)
    if (hotter := heated.report(talk, heard)) is not None:
        return heard, hotter
    if (ended := told_apart.report(talk, heard, lambda part: _taken(talk, part))) is not None:
        return heard, ended
    if (apart := buckets_apart.report(talk, heard, lambda part: _taken(talk, part))) is not None:
        return heard, apart
    if (pair := machine_pairs.report(talk, heard)) is not None:
        return heard, pair
    if (another := cooling_begun.another(talk, heard)) is not None:
        return heard, another
    if (parts := round_parts.report(talk, heard)) is not None:
        return heard, parts
    if (found := of_batches.readings_of(talk, heard)) is not None:
        return found, recording.report(talk, found)
    if (begun := cooling_begun.report(talk, heard)) is not None:
        return heard, begun
    if (thawed := thawing_told.report(talk, heard)) is not None:
        return heard, thawed
    if (same := pieces.with_same(talk, heard)) is not None:
        return heard, same
    if (several := pieces.plainly(talk, heard)) is not None:
        return several
    return None


def _taken(talk: Conversation, heard: Heard) -> Outcome:
    """Return what is done with a part of an utterance, in short form or in full."""
    plain = first(talk, heard)
    return plain[1] if plain is not None else talk.again(heard)


def _broken_off(talk: Conversation, heard: Heard) -> bool:
    """True for "bucket two, oh, hang on": the number of the bucket, and no twenty that was read of it."""
    said = talk.interpreter.with_short_places(heard.interpretation.heard)
    places = said.names.get("equipment", ())
    return any(s.start < m.start < s.end < m.end for s in places for m in said.measures)


def _waits(talk: Conversation, heard: Heard) -> bool:
    """True for "bucket two, hang on": nothing before it but names and small words, the rest is told next."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    phrases = (tuple(phrase.split()) for phrase in lexicon.list("hold_on"))
    begin = min((len(read.words) - len(p) for p in phrases if read.words[-len(p) :] == p), default=-1)
    if begin < 0 or read.asks or emergency_in(read.words, lexicon):
        return False
    return heard.interpretation.meaning.best.intent in (recording.READING, NONE)
