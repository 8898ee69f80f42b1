"""Says what is due: the list on request, and one soft reminder for each limit at a quiet moment."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from assistant.dialogue import cooling_progress, round_talk
from assistant.dialogue.answer import Answer, Request, answer_function, capital
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.due import Reminder, due
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import fill, worded
from assistant.dialogue.state import Pending
from assistant.dialogue.talking import talks
from assistant.dialogue.waits_too_long import DUE, told_to_whoever_is_on
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.rounds_due import serves
from assistant.rules.basis import Verdict

OPEN, BACKDATE = "log_open", "backdate"
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


def not_read(talk: Conversation, wanted: str = "") -> str:
    """Return what of the rounds, or of the one ``wanted``, was not read today; empty without any round."""
    plans = [plan for plan in talk.site.rounds if not plan.cooling and wanted in ("", plan.id)]
    lines = list(talk.log.views.each(replace(Filter.on(talk.clock.now().date()), standing_only=True)))
    seen = [line.now.subject for line in lines if line.now.kind == "reading"]
    read = {serves(plan, subject) for plan in plans for subject in seen}
    left = list(dict.fromkeys(p for plan in plans for p in plan.places if p not in read))
    if not left:
        return talk.words("all_read_today") if plans and seen else ""
    return talk.words("not_read_today", count=len(left), list=round_talk.names(talk, left))


@talks("round_left")
def what_is_left(talk: Conversation, request: Request) -> Outcome:
    """Name what is left of the round that runs; without one, what was not read today and what else waits."""
    outcome = round_talk.what_is_left(talk, request)
    wanted = next(iter(request.slots.rounds), "")
    left = not_read(talk, wanted)
    if not left or outcome.answer is None or outcome.answer.reply != "no_round":
        return outcome
    now, views, others = request.now, talk.log.views, list[str]()
    if not wanted and (found := due(now, views, talk.site)):
        others.append(capital("; ".join(line(talk, each, now) for each in found[:NAMED_AT_MOST])) + ".")
    if not wanted and views.open_actions():
        others.append(talk.rendered(talk.ask(talk.request(OPEN, request.slots))))
    return replace(outcome, text=" ".join((left, *others)))


def _with_not_read(talk: Conversation, outcome: Outcome) -> Outcome:
    left = not_read(talk)
    return replace(outcome, text=f"{talk.rendered(outcome)} {left}") if left else outcome


@talks(OPEN)
def still_open(talk: Conversation, request: Request) -> Outcome | None:
    """Name what was not read today where no action is open."""
    if talk.log.views.open_actions():
        return None
    return _with_not_read(talk, Outcome(Answer("none"), OPEN, request))


@talks(DUE)
def what_is_due(talk: Conversation, request: Request) -> Outcome:
    """Name the nearest limits, at most three, and count the rest; without any, what was not read today."""
    found = due(request.now, talk.log.views, talk.site)
    if not found:
        return cooling_progress.hot(talk) or _with_not_read(talk, Outcome(Answer("none"), DUE, request))
    items = [line(talk, reminder, request.now) for reminder in found[:NAMED_AT_MOST]]
    more = len(found) - NAMED_AT_MOST
    text = "; ".join(items) + (f"; {talk.words('and_more', count=more)}" if more > 0 else "")
    late = any(reminder.late(request.now) for reminder in found)
    verdict = Verdict.FAIL if late else None
    return Outcome(Answer("list", {"list": capital(text)}, verdict=verdict), DUE, request)


@talks(BACKDATE)
def missed(talk: Conversation, request: Request) -> Outcome | None:
    """Offer a note of what was missed; "exactly" is no yes to it where nobody offered one."""
    waiting, function = talk.state.pending, answer_function(BACKDATE)
    asked = waiting is not None and waiting.request is not None and waiting.request.intent == BACKDATE
    if asked or function is None:
        return None
    slots = request.slots
    plain = replace(request, slots=replace(slots, heard=None, concepts=slots.concepts - {"yes", "no"}))
    return Outcome(function(plain), BACKDATE, plain)


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
    if waiting is None or waiting.kind == "meant" or now - waiting.asked_at < ASK_AGAIN:
        return None
    if waiting.times_asked > 1:
        return Outcome(None, DUE, own_drafts=_left_open(talk, waiting), keep_context=True)
    again = replace(waiting, times_asked=waiting.times_asked + 1, asked_at=now)
    text = talk.state.last_question
    return Outcome(Answer("remind"), DUE, text=text, pending=again, keep_context=True) if text else None
