"""What waits too long is told once: open actions, overdue rounds, days that nobody signed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta

from assistant.dialogue.answer import Answer, Value
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.moments import shown_date, shown_time
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.rounds import open_round
from assistant.dialogue.say import fill, worded
from assistant.logbook.query import Filter
from assistant.logbook.rounds_due import Due, dues_of
from assistant.logbook.signed_days import unsigned_days
from assistant.rules.basis import Verdict

DUE = "due_list"
PLACES_AT_MOST = 3
"""Places of a round named in one breath; the rest is counted."""


def told_to_whoever_is_on(talk: Conversation, now: datetime) -> Outcome | None:
    """Return the one thing that waits too long and was not told yet, food first, or ``None``."""
    return _open_too_long(talk, now) or _overdue(talk, now) or _unsigned(talk, now)


def _open_too_long(talk: Conversation, now: datetime) -> Outcome | None:
    """Name the place that has been open longest; others are counted."""
    limit = timedelta(minutes=talk.site.alerts.action_open_minutes)
    found = [
        each for each in talk.log.views.open_actions()
        if now - datetime.fromisoformat(each.entry.at_local) > limit
        and f"open:{each.entry.id}" not in talk.state.reminded
    ]  # fmt: skip
    if not found:
        return None
    at = datetime.fromisoformat(found[0].entry.at_local)
    time = shown_time(at) if at.date() == now.date() else f"{shown_date(at.date())}, {shown_time(at)}"
    values = {"subject": talk.site.spoken_name(found[0].entry.subject), "time": time}
    more = len({each.entry.subject for each in found}) - 1
    return _told(talk, "open", values, more, [f"open:{each.entry.id}" for each in found], Verdict.FAIL)


def _overdue(talk: Conversation, now: datetime) -> Outcome | None:
    """Name the round that is overdue, and what of it is left; one that is being gone is not disturbed."""
    if not any(plan.due for plan in talk.site.rounds):
        return None
    views, site = talk.log.views, talk.site
    found = [
        (mark, due) for due in dues_of(views.each(Filter.on(now.date())), site, now.date(), now)
        if due.state == "overdue" and (mark := f"round:{due.plan.id}:{due.at.isoformat()}")
        not in talk.state.reminded and not _under_way(talk, due, now)
    ]  # fmt: skip
    if not found:
        return None
    mark, due = found[0]
    names = [talk.shown(place) for place in due.left[:PLACES_AT_MOST]]
    rest = len(due.left) - PLACES_AT_MOST
    left = ", ".join(names) + (f" {talk.words('and_more', count=rest)}" if rest > 0 else "")
    values: dict[str, Value] = {"round": due.plan.name, "time": shown_time(due.at), "left": left}
    return _told(talk, "round_late", values, 0, [mark], None)


def _under_way(talk: Conversation, due: Due, now: datetime) -> bool:
    """Whether somebody is in the middle of that round: it waits as long as the site allows for being late."""
    begun = open_round(talk.log.views, talk.site, now)
    patience = timedelta(minutes=talk.site.alerts.round_late_minutes)
    return (
        begun is not None and begun.plan.id == due.plan.id and not begun.paused
        and now - begun.last_at <= patience
    )  # fmt: skip


def _unsigned(talk: Conversation, now: datetime) -> Outcome | None:
    """Name the oldest worked day that nobody signed by the hour the site sets; others are counted."""
    days = [
        day for day in unsigned_days(talk.log.views, now, talk.site.alerts.sign_by)
        if f"unsigned:{day}" not in talk.state.reminded
    ]  # fmt: skip
    if not days:
        return None
    values = {"day": shown_date(date.fromisoformat(days[0]))}
    return _told(talk, "unsigned", values, len(days) - 1, [f"unsigned:{day}" for day in days], None)


def _told(
    talk: Conversation, reply: str, values: Mapping[str, Value], more: int, marks: Sequence[str],
    verdict: Verdict | None,
) -> Outcome:  # fmt: skip
    item = fill(talk.catalogue[DUE].replies[reply], worded(values, talk.catalogue))
    item += f"; {talk.words('and_more', count=more)}" if more > 0 else ""
    changes = {"reminded": (*talk.state.reminded, *marks)}
    answer = Answer("remind", {"item": item}, verdict=verdict)
    return Outcome(answer, DUE, pending=talk.state.pending, keep_context=True, changes=changes)
