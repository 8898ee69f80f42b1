"""Reports in short form, read as if said in full: the ways to fill in what the cook left out, in order.

Only what reads as nothing by itself is filled in. The words that are kept with an entry stay those heard.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import cooling_begun, recording
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports import lists, of_batches, of_last_place, short_places, take

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation


UNHEARD = frozenset(
    {"say_again", "which_two", "not_here", "unknown_question", "not_sure", "which", "which_place"}
)
"""Replies to words that came to nothing."""


def first(talk: Conversation, heard: Heard) -> tuple[Heard, Outcome] | None:
    """Return what is done with a report whose short form is plain, and the utterance as read, or ``None``."""
    if not heard.interpretation.heard.words:
        return None
    if (found := of_batches.readings_of(talk, heard)) is not None:
        return found, recording.report(talk, found)
    if (begun := cooling_begun.report(talk, heard)) is not None:
        return heard, begun
    if (text := short_places.in_full(talk, heard) or lists.paired(talk, heard)) is not None:
        return _taken(talk, heard, text, sure=True)
    if (text := lists.same_again(talk, heard)) is not None:
        return _taken(talk, heard, text, sure=False)
    return None


def last(talk: Conversation, heard: Heard, outcome: Outcome) -> tuple[Heard, Outcome]:
    """Return what is done with words that came to nothing, as of the place spoken of just before."""
    reply = outcome.answer.reply if outcome.answer is not None else ""
    nothing = outcome.answer is None and outcome.text is None
    unheard = reply in UNHEARD and outcome.text is None and (outcome.pending is None or reply == "which")
    if outcome.drafts or not (nothing or unheard) or not heard.interpretation.heard.words:
        return heard, outcome
    told = of_last_place.in_full(talk, heard)
    taken = _taken(talk, heard, told[0], sure=told[1]) if told is not None else None
    return taken or (heard, outcome)


def _taken(talk: Conversation, heard: Heard, text: str, *, sure: bool) -> tuple[Heard, Outcome] | None:
    """Take the report in full, or read it back where that was not waited for."""
    full = replace(heard, interpretation=talk.interpreter.interpret(text))
    outcome = take.report(talk, full)
    if outcome is None:
        return None
    if not sure and outcome.readings and outcome.own_drafts:
        outcome = recording.confirm(talk, outcome.readings)
    return full, outcome
