"""Which days have been signed off, and by whom."""

from __future__ import annotations

from datetime import date, timedelta

from assistant.logbook.query import Filter
from assistant.logbook.views import Line, Views
from assistant.site import Site

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


def reviews_of(views: Views, day: date) -> list[Line]:
    """Return the standing reviews that cover a day, whenever they were made."""
    wanted = Filter(
        first_day=day, last_day=day + timedelta(days=LATEST_DAYS), kinds=("review",), standing_only=True
    )
    return [line for line in views.each(wanted) if day.isoformat() in days_signed(line)]


def signed_by(reviews: list[Line]) -> tuple[str, ...]:
    """Return the names under some reviews, each once."""
    return tuple(dict.fromkeys(line.now.person or "nobody signed in" for line in reviews))


def signers(site: Site) -> list[str]:
    """Return who may sign, managers first."""
    order = {"manager": 0, "lead": 1, "cook": 2}
    return [person.name for person in sorted(site.people, key=lambda person: order[person.role])]
