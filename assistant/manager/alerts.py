"""What somebody away from the page is told of: found in the log, told once, and again when it got worse."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import islice

from assistant.logbook.listening import Listening
from assistant.logbook.query import Filter
from assistant.logbook.rounds_due import dues_of
from assistant.logbook.signed_days import unsigned_days
from assistant.logbook.views import Line, Views
from assistant.manager import shown
from assistant.site import Site

_MOST = 500
_LATE_TWICE = timedelta(hours=2)


@dataclass(frozen=True, slots=True)
class Alert:
    """One thing to tell: ``key`` names it, ``level`` rises when it gets worse."""

    key: str
    level: int
    text: str


def alerts_of(
    views: Views, site: Site, now: datetime, *, faults: Mapping[str, str], listening: Listening | None
) -> tuple[Alert, ...]:
    """Return what waits too long at ``now``; ``faults`` are sentences by name ('' for none)."""
    return (
        *(Alert(name, 1, text) for name, text in faults.items() if text),
        *_microphone(listening, site, now),
        *_actions(islice(views.each(Filter(open=True)), _MOST), site, now),
        *_rounds(views, site, now),
        *_unsigned(views, site, now),
    )


def _microphone(listening: Listening | None, site: Site, now: datetime) -> list[Alert]:
    if listening is None or listening.state == "stopped":
        return []
    patience = timedelta(minutes=site.alerts.microphone_minutes)
    if listening.state == "no microphone" and now - listening.since > patience:
        since = shown.clock(listening.since.astimezone(now.tzinfo))
        return [Alert("microphone", 1, f"The assistant has no microphone since {since}: nothing is heard.")]
    if now - listening.seen > patience:
        seen = shown.clock(listening.seen.astimezone(now.tzinfo))
        return [Alert("microphone", 2, f"The assistant has given no sign of life since {seen}.")]
    return []


def _actions(lines: Iterable[Line], site: Site, now: datetime) -> list[Alert]:
    """One alert a place: worse whenever the oldest has been open twice as long, or twice as many are."""
    limit = timedelta(minutes=site.alerts.action_open_minutes)
    by_subject: dict[str, list[Line]] = {}
    for line in lines:
        if now - shown.moment(line.now) > limit:
            by_subject.setdefault(line.now.subject, []).append(line)
    found = []
    for subject, several in by_subject.items():
        oldest = min(several, key=lambda line: shown.moment(line.now))
        age = now - shown.moment(oldest.now)
        hours, minutes = divmod(int(age.total_seconds() // 60), 60)
        count = f"{len(several)} corrective actions are" if several[1:] else "a corrective action is"
        todo = f": {oldest.now.note}" if oldest.now.note else ""
        found.append(Alert(
            f"action {subject}", int(age / limit).bit_length() + len(several).bit_length(),
            f"{shown.capital(site.spoken_name(subject))}: {count} open, since {hours} h {minutes} min"
            f" (#{oldest.entry.id}){todo}.",
        ))  # fmt: skip
    return found


def _rounds(views: Views, site: Site, now: datetime) -> list[Alert]:
    if not any(plan.due for plan in site.rounds):
        return []
    lines = list(views.each(Filter.on(now.date())))
    found = []
    for due in dues_of(lines, site, now.date(), now):
        if due.state in ("overdue", "missed"):
            left = ", ".join(site.spoken_name(place) for place in due.left)
            level = 2 if now - due.at > _LATE_TWICE else 1
            text = f"{shown.capital(due.plan.name)} was due by {shown.clock(due.at)}; not read yet: {left}."
            found.append(Alert(f"round {due.plan.id} {due.at.isoformat()}", level, text))
    return found


def _unsigned(views: Views, site: Site, now: datetime) -> list[Alert]:
    """One alert over the last days: worse with each day more."""
    left = unsigned_days(views, now, site.alerts.sign_by)
    if not left:
        return []
    days = f"{len(left)} days are" if left[1:] else "A day is"
    return [Alert("unsigned days", len(left), f"{days} not signed off: {', '.join(left)}.")]
