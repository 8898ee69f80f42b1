"""Rounds of one day: which were done, in part or not, from what was read; pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from assistant.logbook.views import Line
from assistant.manager import shown
from assistant.site import Round, Site

State = Literal["done", "part done", "not done", "missed"]


@dataclass(frozen=True, slots=True)
class RoundState:
    """How far a round came on a day: the places read, with the first and the last time."""

    plan: Round
    state: State
    read: tuple[str, ...]
    left: tuple[str, ...]
    first: datetime | None
    last: datetime | None
    said: str = ""

    @property
    def told(self) -> str:
        """The state in words."""
        if self.state == "done" and self.last:
            return f"done at {shown.clock(self.last)}"
        if self.read:
            return f"{self.state}: {len(self.read)} of {len(self.plan.places)} places read"
        return self.state


def rounds_of(lines: Iterable[Line], site: Site, *, over: bool) -> tuple[RoundState, ...]:
    """Return each round of the site with what the day's standing lines hold of it.

    A place counts as read by a reading, or by a note that it could not be taken. A place that stands in
    several rounds counts for the round begun last and not yet complete, where ``round`` entries tell
    (subject: the round's id, note: begun, ended or left); else for each of them. ``over`` says that the
    day has ended: what was not done is then missed.
    """
    plans = {plan.id: plan for plan in site.rounds}
    seen: dict[str, dict[str, datetime]] = {plan.id: {} for plan in site.rounds}
    said: dict[str, str] = {}
    current = ""
    for line in sorted(lines, key=lambda each: shown.moment(each.now)):
        entry, at = line.now, shown.moment(line.now)
        if line.withdrawn:
            continue
        if entry.kind == "round" and entry.subject in seen:
            word = (entry.note or entry.measured).partition(" ")[0]
            said[entry.subject] = word
            current = entry.subject if word == "begun" else ""
        elif entry.kind in ("reading", "not_taken"):
            for plan in site.rounds:
                if (current in ("", plan.id)) and entry.subject in plan.places:
                    seen[plan.id].setdefault(entry.subject, at)
            if current and len(seen[current]) == len(plans[current].places):
                current = ""
    return tuple(_state(plan, seen[plan.id], said.get(plan.id, ""), over=over) for plan in site.rounds)


def _state(plan: Round, seen: dict[str, datetime], said: str, *, over: bool) -> RoundState:
    read = tuple(place for place in plan.places if place in seen)
    left = tuple(place for place in plan.places if place not in seen)
    state: State = "done" if not left else "missed" if over else "part done" if read else "not done"
    times = sorted(seen.values())
    return RoundState(
        plan, state, read, left, times[0] if times else None, times[-1] if times else None, said
    )
