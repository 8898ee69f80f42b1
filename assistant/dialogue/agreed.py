"""What was inferred is read back whole before it is logged: a yes logs it, anything else does not."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from assistant.dialogue.answer import Answer
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.said_at import stamped
from assistant.dialogue.state import Pending
from assistant.dialogue.topic import Subject

READING = "reading"
_LATER = timedelta(minutes=1)
"""What is agreed to so long after it was told keeps the time it was told."""


def if_inferred(talk: Conversation, outcome: Outcome, about: Subject) -> Outcome:
    """Return ``outcome``, read back first where its food was not named of late."""
    return read_back(talk, outcome) if about.inferred and outcome.drafts else outcome


def read_back(talk: Conversation, outcome: Outcome) -> Outcome:
    """Say what would be logged, and wait for a yes."""
    now = talk.clock.now()
    text = talk.words("agree", what=talk.rendered(outcome))
    waiting = Pending("agree", now, agreed=outcome, told_at=now.isoformat(timespec="seconds"))
    return Outcome(Answer("confirm"), outcome.intent, text=text, pending=waiting, keep_context=True)


def _taken(talk: Conversation, waiting: Pending) -> Outcome | None:
    """Return what is logged after the yes."""
    now, outcome = talk.clock.now(), waiting.agreed
    if outcome is None:
        return None
    outcome = replace(outcome, used=frozenset())  # those are words of the breath that told it
    if now - datetime.fromisoformat(waiting.told_at) < _LATER:
        return outcome
    return stamped(outcome, waiting.told_at, now)


def answered(talk: Conversation, heard: Heard, waiting: Pending) -> Outcome | None:
    """Return what is done with a yes or a no; ``None`` for anything else."""
    read, small = heard.interpretation.heard, talk.interpreter.lexicon.filler
    alone = {c for c in ("yes", "no") if read.has(c) and read.only(read.spans(c), small)}
    if alone == {"yes"} and (heard.rival is None or heard.rival.heard.has("yes")):
        return _taken(talk, waiting)
    return Outcome(Answer("dropped"), READING) if alone == {"no"} else None


def both(talk: Conversation, first: Outcome, more: Outcome) -> Outcome:
    """Return one outcome of two things said in one breath; who signs in behind it told the first, too."""
    signed = next((draft.subject for draft in more.drafts if draft.kind == "sign_in"), "")
    update = {"person": signed} if signed else {}
    drafts = (*(draft.model_copy(update=update) for draft in first.drafts), *more.drafts)
    answer = replace(more.answer, drafts=()) if more.answer is not None else first.answer
    return replace(
        more,
        answer=answer,
        text=f"{talk.rendered(first)} {talk.rendered(more)}",
        own_drafts=drafts,
        pending=more.pending or first.pending,
        own_verdict=first.verdict or more.verdict,
        readings=(*first.readings, *more.readings),
        reading_ids=(*first.reading_ids, *more.reading_ids),
    )
