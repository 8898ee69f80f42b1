"""Rounds of one day: which were done, in part or not, from what was read; pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from assistant.logbook.rounds_due import belonging, serves
from assistant.logbook.views import Line
from assistant.manager import shown
from assistant.site import Round, Site

State = Literal["done", "not begun", "part done", "not done", "missed", "not needed", "not known", "closed"]


RULE = (
    "A round is done when each of its places was read, or reported as not taken, after somebody began it."
    " Where a time is set, what is read nearest to it counts, in a round or not. A reading is that of one"
    " round, and one logged under a time set by hand is that of none."
)


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
        if self.state == "not begun" and self.last:
            return f"each place read by {shown.clock(self.last)}, but no round was begun"
        if self.read:
            return f"{self.state}: {len(self.read)} of {len(self.plan.places)} places read"
        return "nothing was cooling" if self.state == "not needed" else self.state


def rounds_of(
    lines: Iterable[Line], site: Site, *, over: bool, closed: bool = False
) -> tuple[RoundState, ...]:
    """Return each round of the site with what the day's standing lines hold of it.

    A place counts as read by a reading, or by a note that it could not be taken, for the round begun that it
    belongs to; where no round was begun all may have been read, and yet no round was gone. A round begun
    again after it was complete is another run; each is told with its time. ``over`` says that the day has
    ended: what was not done is then missed, unless the kitchen was ``closed``.
    """
    plans = {plan.id: plan for plan in site.rounds}
    seen: dict[str, dict[str, datetime]] = {name: {} for name in plans}
    ends: dict[str, list[datetime]] = {name: [] for name in plans}
    said: dict[str, datetime] = {}
    cooled: list[datetime] = []
    begun: set[str] = set()
    for at, line, name in belonging(lines, site):
        entry = line.now
        if entry.kind == "round":
            word = entry.note.partition(" ")[0]
            if word == "ended":
                said[name] = at
            elif word in ("begun", "resumed"):
                if name in begun and _whole(plans[name], seen[name]):
                    ends[name].append(max(seen[name].values()))
                    seen[name] = {}
                elif name not in begun:
                    seen[name] = {}
                begun.add(name)
        elif entry.measured == "cooling" and entry.kind == "reading":
            cooled.append(at)
        elif name:
            seen[name].setdefault(serves(plans[name], entry.subject), at)
        else:
            for plan in site.rounds:
                if plan.id not in begun and (place := serves(plan, entry.subject)):
                    seen[plan.id].setdefault(place, at)
    return tuple(
        _cooling(plan, cooled, said.get(plan.id))
        if plan.cooling
        else _state(plan, seen[plan.id], ends[plan.id], begun=plan.id in begun, over=over, closed=closed)
        for plan in site.rounds
    )


def _cooling(plan: Round, cooled: list[datetime], ended: datetime | None) -> RoundState:
    """A round over food that cools is done by a reading of such food; without any it was not needed."""
    last = max([*cooled, *([ended] if ended else [])], default=None)
    return RoundState(plan, "done" if last else "not needed", (), (), min(cooled, default=last), last)


def _whole(plan: Round, seen: dict[str, datetime]) -> bool:
    return bool(plan.places) and len(seen) == len(plan.places)


def _state(
    plan: Round, seen: dict[str, datetime], ends: list[datetime], *, begun: bool, over: bool, closed: bool
) -> RoundState:
    read = tuple(place for place in plan.places if place in seen)
    left = tuple(place for place in plan.places if place not in seen)
    times = sorted(seen.values())
    last = times[-1] if times else None
    if not left and not begun:
        return RoundState(plan, "not begun", read, (), times[0], last)
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
