"""By when the rounds of a day are due, and how far each came; pure, without words or marks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
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


def counts(line: Line) -> bool:
    """Whether a line tells that a place was looked at: one that stands, and is no trial.

    Whoever sets the clock by hand (``--at``) tries the program out; no round was gone for that.
    """
    return not (line.withdrawn or line.entry.clock_by_hand) and line.now.kind in ("reading", "not_taken")


def belonging(lines: Iterable[Line], site: Site) -> Iterator[tuple[datetime, Line, str]]:
    """Go through what counts in its order, each with the id of the round that it belongs to ('' if none).

    ``round`` entries tell (subject: the round's id, the note's first word: begun, left, resumed, ended); they
    come along, too. What is read while no round runs belongs to one begun before that lacks it.
    """
    plans = {plan.id: plan for plan in site.rounds}
    seen: dict[str, set[str]] = {}
    current = ""
    for at, line in sorted(((line.now.moment, line) for line in lines), key=lambda each: each[0]):
        entry = line.now
        if entry.kind == "round" and entry.subject in plans and not line.withdrawn:
            word = entry.note.partition(" ")[0]
            current = entry.subject if word in ("begun", "resumed") else ""
            if current and (current not in seen or len(seen[current]) == len(plans[current].places)):
                seen[current] = set()
            yield at, line, entry.subject
        elif counts(line):
            lacking = [name for name in seen if not {serves(plans[name], entry.subject)} <= seen[name]]
            whose = [
                name for name in ([current] if current else lacking) if serves(plans[name], entry.subject)
            ]
            for name in whose[-1:]:
                seen[name].add(serves(plans[name], entry.subject))
                if current and len(seen[current]) == len(plans[current].places):
                    current = ""
            yield at, line, whose[-1] if whose else ""


def dues_of(lines: Iterable[Line], site: Site, day: date, now: datetime) -> tuple[Due, ...]:
    """Return every due time of a local day; none on a day on which the kitchen is closed.

    What was read in a round counts for that one, else for the time that is nearest, of whichever round: no
    reading is that of the opening and of the close. Late is later than the site's own patience. A round over
    cooling food is only due while food cools.
    """
    if site.kitchen.closed_on(day):
        return ()
    slots = [
        (plan, datetime.combine(day, time.fromisoformat(each), now.tzinfo))
        for plan in site.rounds
        for each in sorted(plan.due)
    ]
    read: dict[tuple[str, datetime], list[tuple[datetime, Line]]] = {}
    for when, line, name in belonging(lines, site):
        for plan, at in _nearest(slots, when, line, name) if line.now.kind != "round" else ():
            read.setdefault((plan.id, at), []).append((when, line))
    found = []
    for plan, at in slots:
        later = [other for each, other in slots if each.id == plan.id and other > at]
        last = at + (later[0] - at) / 2 if later else None
        found.append(_due(plan, at, read.get((plan.id, at), []), site, now, last))
    return tuple(sorted(found, key=lambda due: due.at))


def _nearest(
    slots: list[tuple[Round, datetime]], when: datetime, line: Line, name: str
) -> list[tuple[Round, datetime]]:
    """Return the due times that a reading is for: the nearest, and of two as near the earlier of a round."""
    cooled = line.now.measured == "cooling"
    able = [
        (abs(at - when), at, plan)
        for plan, at in slots
        if (not name or plan.id == name) and (cooled if plan.cooling else serves(plan, line.now.subject))
    ]
    nearest = min((far for far, _, _ in able), default=None)
    found = {plan.id: (plan, at) for far, at, plan in reversed(able) if far == nearest}
    return list(found.values())


def _due(
    plan: Round, at: datetime, read: list[tuple[datetime, Line]], site: Site, now: datetime,
    last: datetime | None,
) -> Due:  # fmt: skip
    late = at + timedelta(minutes=site.alerts.round_late_minutes)
    if plan.cooling:
        return Due(
            plan, at, "done" if read else "not needed", max((when for when, _ in read), default=None), ()
        )
    seen: dict[str, datetime] = {}
    for when, line in read:
        seen.setdefault(serves(plan, line.now.subject), when)
    left = tuple(place for place in plan.places if place not in seen)
    if not left:
        done = max(seen.values())
        return Due(plan, at, "done late" if done > late else "done", done, ())
    over = now > last if last else now.date() > at.date()
    state: DueState = "missed" if over else "overdue" if now > late else "to come"
    return Due(plan, at, state, None, left)
