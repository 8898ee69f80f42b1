"""Says what is due: the list on request, and one soft reminder for each limit at a quiet moment."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from assistant.dialogue.answer import Answer, Request
from assistant.dialogue.due import Reminder, due
from assistant.dialogue.moments import shown_date, shown_time
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import fill, worded
from assistant.dialogue.state import Pending
from assistant.dialogue.talking import talks
from assistant.logbook.entry import Draft
from assistant.logbook.views import Line
from assistant.rules.basis import Verdict

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

NAMED_AT_MOST = 3
"""Limits named in one breath; the rest is counted."""
DUE = "due_list"
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
        return Outcome(Answer("none"), DUE, request)
    items = [line(talk, reminder, request.now) for reminder in found[:NAMED_AT_MOST]]
    more = len(found) - NAMED_AT_MOST
    text = "; ".join(items) + (f"; {talk.words('and_more', count=more)}" if more > 0 else "")
    late = any(reminder.late(request.now) for reminder in found)
    verdict = Verdict.FAIL if late else None
    return Outcome(Answer("list", {"list": text[:1].upper() + text[1:]}, verdict=verdict), DUE, request)


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
    return _open_too_long(talk, now)


def _open_too_long(talk: Conversation, now: datetime) -> Outcome | None:
    """Say once what has been open for longer than the alerts allow: the oldest place; others are counted."""
    limit, state = timedelta(minutes=talk.site.alerts.action_open_minutes), talk.state
    found = [
        each for each in talk.log.views.open_actions()
        if now - _opened(each) > limit and f"open:{each.entry.id}" not in state.reminded
    ]  # fmt: skip
    if not found:
        return None
    at, more = _opened(found[0]), len({each.entry.subject for each in found}) - 1
    time = shown_time(at) if at.date() == now.date() else f"{shown_date(at.date())}, {shown_time(at)}"
    values = {"subject": talk.site.spoken_name(found[0].entry.subject), "time": time}
    item = fill(talk.catalogue[DUE].replies["open"], worded(values, talk.catalogue))
    item += f"; {talk.words('and_more', count=more)}" if more else ""
    marks = tuple(f"open:{each.entry.id}" for each in found)
    answer = Answer("remind", {"item": item}, verdict=Verdict.FAIL)
    changes = {"reminded": (*state.reminded, *marks)}
    return Outcome(answer, DUE, pending=state.pending, keep_context=True, changes=changes)


def _opened(line: Line) -> datetime:
    return datetime.fromisoformat(line.entry.at_local)


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
