"""Where a guided round stands, read from the log alone, so that a restart loses nothing.

A round is begun, left and ended by ``round`` entries; a place is done once it has a reading or a
``not_taken`` entry since the beginning.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.views import Line, Views
from assistant.site import Round, Site

BEGUN, LEFT, RESUMED, ENDED = "begun", "left", "resumed", "ended"
"""The first word of a round entry's note."""
OPEN_FOR = timedelta(hours=12)
"""A round that nobody ended in this time is over."""
_MOST = 1000  # entries read back


@dataclass(frozen=True)
class RoundNow:
    """An unfinished round: what is done and what is left, in the order of the plan.

    ``done`` holds places with a reading, ``skipped`` those with a reason instead; ``failed`` of the done
    failed at their last reading. ``paused`` after "done for now". ``last_at`` is its latest entry.
    """

    plan: Round
    places: tuple[str, ...]
    done: tuple[str, ...]
    skipped: tuple[str, ...]
    failed: tuple[str, ...]
    paused: bool
    last_at: datetime

    @property
    def left(self) -> tuple[str, ...]:
        """The places that have neither a reading nor a reason."""
        return tuple(place for place in self.places if place not in (*self.done, *self.skipped))

    def serves(self, subject: str) -> str:
        """Return the place of the round that an entry about ``subject`` is about, or an empty string.

        A numbered unit stands for an unnumbered place of the plan ("freezer 2" for the freezer).
        """
        if subject in self.places:
            return subject
        return next((place for place in self.places if subject.startswith(f"{place} ")), "")

    def next_after(self, place: str = "") -> str:
        """Return the next place left after ``place`` in the order of the plan, from the top at the end."""
        at = self.places.index(place) + 1 if place in self.places else 0
        return next((p for p in (*self.places[at:], *self.places[:at]) if p in self.left), "")


def round_draft(plan: Round, note: str) -> Draft:
    """Return the entry that a round was begun, left, resumed or ended."""
    return Draft(kind="round", subject=plan.id, note=note)


def open_round(
    views: Views, site: Site, now: datetime, cooling: Callable[[], Sequence[str]] = tuple
) -> RoundNow | None:
    """Return the round that was begun last and not ended, if any.

    ``cooling`` tells the foods that cool now; a round over them asks those and the ones already done.
    """
    wanted = Filter(kinds=("round",), since=now - OPEN_FOR, standing_only=True)
    marks = views.lines(wanted, limit=50, newest_first=True).lines
    if not marks or marks[0].entry.note.startswith(ENDED):
        return None
    name = marks[0].entry.subject
    plan = next((plan for plan in site.rounds if plan.id == name), None)
    begun = next((m for m in marks if m.entry.subject == name and m.entry.note.startswith(BEGUN)), None)
    if plan is None or begun is None:
        return None
    return _stand(plan, begun, marks[0], _since(views, begun), cooling() if plan.cooling else ())


def _since(views: Views, begun: Line) -> list[Line]:
    since = datetime.fromisoformat(begun.entry.at_utc)
    wanted = Filter(kinds=("reading", "not_taken"), since=since - timedelta(minutes=1), standing_only=True)
    lines = views.lines(wanted, limit=_MOST).lines
    return [line for line in lines if line.entry.id > begun.entry.id]


def _stand(plan: Round, begun: Line, mark: Line, lines: list[Line], cooling: Sequence[str]) -> RoundNow:
    if plan.cooling:
        lines = [line for line in lines if line.now.measured == "cooling" or line.entry.kind == "not_taken"]
        seen = [line.now.subject for line in lines if line.now.item]
        places = tuple(dict.fromkeys((*cooling, *seen)))
    else:
        places = plan.places
    empty = RoundNow(plan, places, (), (), (), False, datetime.fromisoformat(begun.entry.at_local))
    last: dict[str, Line] = {}
    for line in lines:
        if place := empty.serves(line.now.subject):
            last[place] = line
    done = tuple(p for p in places if p in last and last[p].entry.kind == "reading")
    times = [datetime.fromisoformat(line.entry.at_local) for line in (begun, mark, *last.values())]
    return RoundNow(
        plan,
        places,
        done,
        tuple(p for p in places if p in last and p not in done),
        tuple(p for p in done if last[p].now.verdict == "fail"),
        mark.entry.note.startswith(LEFT),
        max(times),
    )
