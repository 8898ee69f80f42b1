"""Reports in short form, read as if said in full: the ways to fill in what the cook left out, in order.

Only what reads as nothing by itself is filled in. The words that are kept with an entry stay those heard.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import cooling_begun, noted, recording, round_parts, thawing_told
from assistant.dialogue.emergencies import emergency_in
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports import numbered, of_batches, pieces, take, trimmed, unplaced, whose
from intents.meaning import NONE

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation


UNHEARD = frozenset(
    {"say_again", "which_two", "not_here", "unknown_question", "not_sure", "which", "which_place"}
)
"""Replies to words that came to nothing."""


SURELY = 0.8
"""From this share of telling on a number of a place is meant for the log, and advice alone would lose it."""


def first(talk: Conversation, heard: Heard) -> tuple[Heard, Outcome] | None:
    """Return what is done with a report whose short form is plain, and the utterance as read, or ``None``."""
    read = heard.interpretation
    if not read.heard.words:
        return None
    if _waits(talk, heard):
        taken = take.report(talk, heard) or trimmed.report(talk, heard)
        told = taken.readings if taken is not None else ()  # "bucket two, oh, hang on" may be twenty
        return heard, recording.confirm(talk, told) if told else Outcome(None, "", keep_context=True)
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
    if (several := numbered.report(talk, heard)) is not None:
        return several
    return None


def _waits(talk: Conversation, heard: Heard) -> bool:
    """True for "bucket two, hang on": nothing before it but names and small words, the rest is told next."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    phrases = (tuple(phrase.split()) for phrase in lexicon.list("hold_on"))
    begin = min((len(read.words) - len(p) for p in phrases if read.words[-len(p) :] == p), default=-1)
    if begin < 0 or read.asks or emergency_in(read.words, lexicon):
        return False
    return heard.interpretation.meaning.best.intent in (recording.READING, NONE)


def last(talk: Conversation, heard: Heard, outcome: Outcome) -> tuple[Heard, Outcome]:
    """Return what is done with words that came to nothing, as of the place spoken of just before."""
    reply = outcome.answer.reply if outcome.answer is not None else ""
    nothing = outcome.answer is None and outcome.text is None
    lacks = outcome.answer is not None and outcome.answer.ask in ("food", "place")  # what it is of
    known = reply in UNHEARD and (outcome.pending is None or reply == "which")
    unheard = outcome.text is None and (known or lacks)
    if outcome.drafts and talk.addressed and all(d.note.startswith(noted.NOTED) for d in outcome.drafts):
        return heard, _with_note(whose.report(talk, heard), outcome)
    if outcome.intent == take.BACKDATE and (today := _read_today(talk, heard)) is not None:
        return heard, today
    if outcome.drafts or not heard.interpretation.heard.words:
        return heard, outcome
    if not (nothing or unheard):
        meaning = heard.interpretation.meaning
        tells = meaning.act in ("tell", "answer")
        tells = tells and not outcome.readings
        tells = tells and (outcome.pending is None or outcome.pending.kind == "slot")
        surely = meaning.share_of("tell") >= SURELY and outcome.verdict is None
        return heard, (whose.report(talk, heard, unnamed=not surely) if tells else None) or outcome
    placed = whose.report(talk, heard) or trimmed.report(talk, heard) or pieces.report(talk, heard)
    if placed is not None:
        return heard, placed
    if talk.addressed and (late := pieces.report(talk, heard, timed=True)) is not None:
        return heard, late
    return heard, (unplaced.which_place(talk, heard) if reply == "say_again" else None) or outcome


def _read_today(talk: Conversation, heard: Heard) -> Outcome | None:
    """Read back what was read earlier today, or what waits for a yes: neither was missed."""
    waiting = talk.state.pending
    if (read := pieces.report(talk, heard, timed=True)) is not None:
        return read
    told = waiting is not None and waiting.kind == "confirm" and talk.addressed
    return recording.confirm(talk, waiting.readings) if told and waiting is not None else None


def _with_note(read: Outcome | None, note: Outcome) -> Outcome:
    """Return a note with the reading that its words hold: "out, three melons, and drawer's forty"."""
    if read is None:
        return note
    text = f"{read.text} {note.text}"
    return replace(read, text=text, own_drafts=(*read.own_drafts, *note.own_drafts))
