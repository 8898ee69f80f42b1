"""What the log tells of since when something has been out of temperature."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.moments import past_moment, shown_time
from assistant.logbook.query import Filter
from assistant.logbook.views import Line

_SINCE = re.compile(r"since (\d+):(\d\d) ([ap])m(?: on (\d{4}-\d\d-\d\d))?")
"""The note of a time told."""


@dataclass(frozen=True, slots=True)
class Since:
    """Since when food was out of temperature, as it was told; ``at`` is ``None`` where nobody knows."""

    at: datetime | None
    said: datetime


def last_good(talk: Conversation, place: str) -> datetime | None:
    """Return when a place was last read and passed within a day, before now."""
    now = talk.clock.now()
    wanted = Filter(kinds=("reading",), subject=place, since=now - timedelta(days=1), standing_only=True)
    good = [
        datetime.fromisoformat(line.now.said_at or line.now.at_local)
        for line in talk.log.views.lines(wanted, limit=50).lines
        if line.now.verdict == "pass"
    ]
    return max((at for at in good if at < now), default=None)


def fell(talk: Conversation, action: Line) -> bool:
    """True for food that failed because it was too cold: it fell out of hot holding."""
    of = talk.log.views.line(action.entry.refers_to) if action.entry.refers_to is not None else None
    return of is not None and of.now.limits is not None and of.now.limits.low is not None


def told_on(talk: Conversation, action: Line) -> Since | None:
    """Return since when an action's food was out, as told: the earliest time, or "nobody knows" said last."""
    made = datetime.fromisoformat(action.entry.at_local)
    told = [since for of, since in told_of_place(talk, action.entry.subject, made) if of == action.entry.id]
    timed = [since for since in told if since.at is not None]
    if not timed or told[-1].at is None:
        return told[-1] if told else None
    return min(timed, key=lambda since: since.at or since.said)


def told_of_place(talk: Conversation, place: str, after: datetime) -> list[tuple[int | None, Since]]:
    """Return what was told since when a place was out, each with its action, in the order told."""
    wanted = Filter(kinds=("event",), subject=place, since=after, standing_only=True)
    lines = sorted(talk.log.views.lines(wanted, limit=50).lines, key=lambda line: line.entry.id)
    told = (line for line in lines if line.now.note.startswith("since"))
    return [(line.entry.refers_to, _read_note(line)) for line in told]


def note_of(at: datetime, now: datetime) -> str:
    """Return the note of a time, with its day where that is no longer today."""
    return f"since {shown_time(at)}" + (f" on {at.date()}" if at.date() != now.date() else "")


def _read_note(line: Line) -> Since:
    said, found = datetime.fromisoformat(line.entry.at_local), _SINCE.match(line.now.note)
    if found is None:
        return Since(None, said)
    hour, minute = int(found[1]) % 12 + (12 if found[3] == "p" else 0), int(found[2])
    if found[4] is None:
        return Since(past_moment(f"{hour:02d}:{minute:02d}", said), said)
    day = date.fromisoformat(found[4])
    return Since(said.replace(year=day.year, month=day.month, day=day.day, hour=hour, minute=minute), said)
