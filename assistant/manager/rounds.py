"""Rounds of one day: which were done, in part or not, from what was read; pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from assistant.logbook.rounds_due import serves
from assistant.logbook.views import Line
from assistant.manager import shown
from assistant.site import Round, Site

State = Literal["done", "part done", "not done", "missed", "not needed", "not known", "closed"]


@dataclass(frozen=True, slots=True)
class RoundState:
    """How far a round came on a day: the places read, with the first and the last time."""

    plan: Round
    state: State
    read: tuple[str, ...]
    left: tuple[str, ...]
    first: datetime | None
    last: datetime | None
    ends: tuple[datetime, ...] = ()
    """When each run of the round was complete, where it was gone more than once that day."""

    @property
    def mark(self) -> str:
        """The shape that goes with the state."""
        return {"done": "●", "missed": "▲", "not needed": "·", "closed": "·"}.get(self.state, "□")

    @property
    def told(self) -> str:
        """The state in words."""
        if self.state == "done" and self.last:
            times = [shown.clock(at) for at in (self.ends or (self.last,))]
            return f"done at {', '.join(times[:-1])} and {times[-1]}" if times[1:] else f"done at {times[0]}"
        if self.read:
            return f"{self.state}: {len(self.read)} of {len(self.plan.places)} places read"
        return "nothing was cooling" if self.state == "not needed" else self.state


def rounds_of(
    lines: Iterable[Line], site: Site, *, over: bool, closed: bool = False
) -> tuple[RoundState, ...]:
    """Return each round of the site with what the day's standing lines hold of it.

    A place counts as read by a reading, or by a note that it could not be taken. A place that stands in
    several rounds counts for the round begun last and not yet complete, where ``round`` entries tell
    (subject: the round's id, the note's first word: begun, left, resumed, ended); else for each of them.
    A round begun again after it was complete is another run; each is told with its time.
    ``over`` says that the day has ended: what was not done is then missed, unless the kitchen was ``closed``.
    """
    plans = {plan.id: plan for plan in site.rounds}
    seen: dict[str, dict[str, datetime]] = {name: {} for name in plans}
    ends: dict[str, list[datetime]] = {name: [] for name in plans}
    said: dict[str, datetime] = {}
    cooled: list[datetime] = []
    current = ""
    for line in sorted(lines, key=lambda each: shown.moment(each.now)):
        entry, at = line.now, shown.moment(line.now)
        if line.withdrawn:
            continue
        if entry.kind == "round" and entry.subject in seen:
            word = entry.note.partition(" ")[0]
            if word == "ended":
                said[entry.subject] = at
            current = entry.subject if word in ("begun", "resumed") else ""
            if word == "begun" and _whole(plans[current], seen[current]):
                ends[current].append(max(seen[current].values()))
                seen[current] = {}  # the same round once more
        elif entry.kind == "reading" and entry.measured == "cooling":
            cooled.append(at)
        elif entry.kind in ("reading", "not_taken"):
            for plan in site.rounds:
                place = serves(plan, entry.subject)
                if place and current in ("", plan.id):
                    seen[plan.id].setdefault(place, at)
            if current and plans[current].places and len(seen[current]) == len(plans[current].places):
                current = ""
    return tuple(
        _cooling(plan, cooled, said.get(plan.id))
        if plan.cooling
        else _state(plan, seen[plan.id], ends[plan.id], over=over, closed=closed)
        for plan in site.rounds
    )


def _cooling(plan: Round, cooled: list[datetime], ended: datetime | None) -> RoundState:
    """A round over food that cools is done by a reading of such food; without any it was not needed."""
    last = max([*cooled, *([ended] if ended else [])], default=None)
    return RoundState(plan, "done" if last else "not needed", (), (), min(cooled, default=last), last)


def _whole(plan: Round, seen: dict[str, datetime]) -> bool:
    return bool(plan.places) and len(seen) == len(plan.places)


def _state(
    plan: Round, seen: dict[str, datetime], ends: list[datetime], *, over: bool, closed: bool
) -> RoundState:
    read = tuple(place for place in plan.places if place in seen)
    left = tuple(place for place in plan.places if place not in seen)
    times = sorted(seen.values())
    last = times[-1] if times else None
    if not left and last:
        ends = [*ends, last]
    if ends and not read:  # begun once more, and nothing read yet
        return RoundState(plan, "done", plan.places, (), ends[0], ends[-1], tuple(ends))
    if closed and not read:
        return RoundState(plan, "closed", (), (), None, None)
    state: State = (
        "done" if not left else "missed" if over and not closed else "part done" if read else "not done"
    )
    return RoundState(plan, state, read, left, times[0] if times else None, last, tuple(ends))
