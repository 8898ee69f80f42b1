"""By when the rounds of a day are due, and how far each came; pure, without words or marks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Literal

from assistant.logbook.views import Line
from assistant.site import Round, Site

DueState = Literal["done", "done late", "to come", "overdue", "missed", "not needed"]


@dataclass(frozen=True, slots=True)
class Due:
    """A time by which a round has to be done: ``done_at`` once it was, ``left`` what is to be read."""

    plan: Round
    at: datetime
    state: DueState
    done_at: datetime | None
    left: tuple[str, ...]


def serves(plan: Round, subject: str) -> str:
    """Return the place of a round that a subject stands for: itself, or any numbered unit of it."""
    if subject in plan.places:
        return subject
    return next((place for place in plan.places if subject.startswith(f"{place} ")), "")


def dues_of(lines: Iterable[Line], site: Site, day: date, now: datetime) -> tuple[Due, ...]:
    """Return every due time of a local day; none on a day on which the kitchen is closed.

    What was read nearer to one time than to the next counts for the first, whoever began the round or nobody.
    Late is later than the site's own patience. A round over cooling food is only due while food cools.
    """
    if site.kitchen.closed_on(day):
        return ()
    read = sorted(((line.now.moment, line) for line in lines if _counts(line)), key=lambda each: each[0])
    found = []
    for plan in site.rounds:
        times = [datetime.combine(day, time.fromisoformat(each), now.tzinfo) for each in sorted(plan.due)]
        for number, at in enumerate(times):
            first = _between(times[number - 1], at) if number else None
            last = _between(at, times[number + 1]) if number + 1 < len(times) else None
            inside = [
                (when, line) for when, line in read
                if (first is None or when > first) and (last is None or when <= last)
            ]  # fmt: skip
            found.append(_due(plan, at, inside, site, now, last))
    return tuple(sorted(found, key=lambda due: due.at))


def _counts(line: Line) -> bool:
    return not line.withdrawn and line.now.kind in ("reading", "not_taken")


def _between(one: datetime, other: datetime) -> datetime:
    return one + (other - one) / 2


def _due(
    plan: Round, at: datetime, read: list[tuple[datetime, Line]], site: Site, now: datetime,
    last: datetime | None,
) -> Due:  # fmt: skip
    late = at + timedelta(minutes=site.alerts.round_late_minutes)
    if plan.cooling:
        cooled = [when for when, line in read if line.now.measured == "cooling"]
        return Due(plan, at, "done" if cooled else "not needed", max(cooled, default=None), ())
    seen: dict[str, datetime] = {}
    for when, line in read:
        if place := serves(plan, line.now.subject):
            seen.setdefault(place, when)
    left = tuple(place for place in plan.places if place not in seen)
    if not left:
        done = max(seen.values())
        return Due(plan, at, "done late" if done > late else "done", done, ())
    over = now > last if last else now.date() > at.date()
    state: DueState = "missed" if over else "overdue" if now > late else "to come"
    return Due(plan, at, state, None, left)
