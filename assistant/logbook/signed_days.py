"""Which days reviews have signed off, and which worked days wait for it too long."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta

from assistant.logbook.query import Filter
from assistant.logbook.views import Line, Views

LOOKED_BACK = 7
"""Days before which nobody is reminded any more."""
LATEST_DAYS = 400
"""A day may be signed so long after it."""


def days_signed(line: Line) -> tuple[str, ...]:
    """Return the days that a review covers: its subject is one day, or "first to last"; else its own day."""
    return days_of(line.now.subject, line.day)


def days_of(subject: str, own_day: str) -> tuple[str, ...]:
    """Return the days that the subject of a review names, else the day that it was made on."""
    first, _, last = subject.partition(" to ")
    try:
        begin = date.fromisoformat(first)
        end = date.fromisoformat(last) if last else begin
    except ValueError:
        return (own_day,)
    return tuple(
        (begin + timedelta(days=n)).isoformat() for n in range(min((end - begin).days, LATEST_DAYS) + 1)
    )


def unsigned_days(views: Views, now: datetime, sign_by: str) -> tuple[str, ...]:
    """Return the worked days (ISO 8601) of the last week that nobody signed, the oldest first.

    A day counts from ``sign_by`` ("12:00") of the day after on.
    """
    last = now.date() - timedelta(days=1)
    if now.time().replace(tzinfo=None) < time.fromisoformat(sign_by):
        last -= timedelta(days=1)
    span = Filter(first_day=last - timedelta(days=LOOKED_BACK - 1), last_day=last)
    worked = {day for (day,) in views.tally(span, "day")}
    wanted = replace(span, last_day=None, kinds=("review",), standing_only=True)
    signed = {day for line in views.each(wanted) for day in days_signed(line)}
    return tuple(sorted(worked - signed))
