"""What a conversation remembers of a turn: the question that waits, what was logged, the foods named."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from assistant.dialogue import people_talk
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.state import State

STILL_OPEN = ("slot", "choose", "value")
"""Kinds of questions that stay open beside talk; a yes or a "the first" a while later is to somebody else."""


def after(before: State, outcome: Outcome, logged: tuple[int, ...], reply: str, now: datetime) -> State:
    """Return the state after a turn; ``logged`` are the numbers of what "scratch that" takes back."""
    state = replace(before, pending=outcome.pending, **outcome.changes)
    if outcome.answer is None and not outcome.drafts and outcome.text is None:
        waiting = before.pending  # a remark to somebody else answers no question and drops none
        kept = outcome.keep_context or (waiting is not None and waiting.kind in STILL_OPEN)
        return replace(before, pending=waiting if kept else None)
    if not outcome.keep_context:
        state = replace(state, last_request=outcome.request, last_answer=outcome.answer)
    if outcome.answer is not None and outcome.answer.remember:
        state = replace(state, memory={**state.memory, **outcome.answer.remember})
    for draft in outcome.drafts:
        if draft.kind == "sign_in":
            out = draft.note == people_talk.OUT
            state = replace(state, person="" if out else draft.subject, signed_in_at=None if out else now)
    question = reply if outcome.pending is not None else ""
    if logged and before.pending is not None and before.pending.partly_logged:
        logged = (*state.last_reading_ids, *logged)  # the rest of one breath
    ids = outcome.reading_ids or logged or state.last_reading_ids
    state = replace(state, last_reply=reply, last_aloud=outcome.aloud, last_at=now)
    return replace(state, last_reading_ids=ids, last_question=question)


def with_foods(state: State, heard: Heard, logged: tuple[str, ...], now: datetime) -> State:
    """Return the state with the foods of the turn: named, else of what it logged."""
    named = tuple(span.value for span in heard.interpretation.heard.names.get("food", ()))
    foods = tuple(dict.fromkeys(named or logged))
    return replace(state, spoken_foods=foods, foods_at=now) if foods else state
