"""Says what is due: the list on request, and one soft reminder for each limit at a quiet moment."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from assistant.dialogue import cooling_progress
from assistant.dialogue.answer import Answer, Request, capital
from assistant.dialogue.due import Reminder, due
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import fill, worded
from assistant.dialogue.state import Pending
from assistant.dialogue.talking import talks
from assistant.dialogue.waits_too_long import DUE, told_to_whoever_is_on
from assistant.logbook.entry import Draft
from assistant.rules.basis import Verdict

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

NAMED_AT_MOST = 3
"""Limits named in one breath; the rest is counted."""
QUIET = timedelta(seconds=30)
"""Silence after the last exchange before anything is said unasked."""
ASK_AGAIN = timedelta(seconds=90)
"""How long an open question waits before it is asked once more."""


def line(talk: Conversation, reminder: Reminder, now: datetime) -> str:
    """Return one limit in a few words ("rice 70°F by 4:00 pm")."""
    key = f"{reminder.kind}_late" if reminder.late(now) else reminder.kind
    values = dict(reminder.values)
    if reminder.at.date() > now.date():
        values["time"] = talk.words("tomorrow", time=values["time"])
    return fill(talk.catalogue[DUE].replies[key], worded(values, talk.catalogue))


@talks(DUE)
def what_is_due(talk: Conversation, request: Request) -> Outcome:
    """Name the nearest limits, at most three, and count the rest."""
    found = due(request.now, talk.log.views, talk.site)
    if not found:
        return cooling_progress.hot(talk) or Outcome(Answer("none"), DUE, request)
    items = [line(talk, reminder, request.now) for reminder in found[:NAMED_AT_MOST]]
    more = len(found) - NAMED_AT_MOST
    text = "; ".join(items) + (f"; {talk.words('and_more', count=more)}" if more > 0 else "")
    late = any(reminder.late(request.now) for reminder in found)
    verdict = Verdict.FAIL if late else None
    return Outcome(Answer("list", {"list": capital(text)}, verdict=verdict), DUE, request)


def reminder_due(talk: Conversation, now: datetime) -> Outcome | None:
    """Return what may be said unasked now, or ``None``: each limit once, an open question once more."""
    state = talk.state
    if state.last_at is not None and now - state.last_at < QUIET:
        return None
    question = _open_question(talk, now)
    if question is not None:
        return question
    for reminder in due(now, talk.log.views, talk.site):
        mark = f"{reminder.entry_id}:{reminder.values.get('limit', '')}"
        if reminder.soon(now) and mark not in state.reminded:
            item = line(talk, reminder, now)
            changes = {"reminded": (*state.reminded, mark)}
            answer = Answer("remind", {"item": item})
            return Outcome(answer, DUE, pending=state.pending, keep_context=True, changes=changes)
    return told_to_whoever_is_on(talk, now)


def _left_open(talk: Conversation, waiting: Pending) -> tuple[Draft, ...]:
    """Return notes for the manager about readings that nobody confirmed: heard, asked twice, not logged."""
    readings = waiting.readings or tuple(r for option in waiting.options for r in option)
    heard = ", ".join(dict.fromkeys(f"{r.subject} {r.value}" for r in readings))
    return (Draft(kind="note", subject=readings[0].subject, note=f"not confirmed: {heard}"),) if heard else ()


def _open_question(talk: Conversation, now: datetime) -> Outcome | None:
    """Ask an open question once more; after that it is dropped, and noted for the manager."""
    waiting: Pending | None = talk.state.pending
    if waiting is None or now - waiting.asked_at < ASK_AGAIN:
        return None
    if waiting.times_asked > 1:
        return Outcome(None, DUE, own_drafts=_left_open(talk, waiting), keep_context=True)
    again = replace(waiting, times_asked=waiting.times_asked + 1, asked_at=now)
    text = talk.state.last_question
    return Outcome(Answer("remind"), DUE, text=text, pending=again, keep_context=True) if text else None
