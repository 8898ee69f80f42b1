"""By whom a day has been signed off, and who may."""

from __future__ import annotations

from datetime import date, timedelta

from assistant.logbook.query import Filter
from assistant.logbook.signed_days import LATEST_DAYS, days_signed
from assistant.logbook.views import Line, Views
from assistant.site import Site


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
