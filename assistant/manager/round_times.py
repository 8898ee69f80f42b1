"""How the due times of rounds are shown on the page and in the report."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

from assistant.logbook import rounds_due
from assistant.logbook.views import Line
from assistant.manager import shown
from assistant.site import Site


class Due(rounds_due.Due):
    """A due time with its mark, its word and its sentence."""

    __slots__ = ()

    @property
    def mark(self) -> str:
        """The shape that goes with the state."""
        return {"done": "●", "done late": "◇", "overdue": "▲", "missed": "▲", "not needed": "·"}.get(
            self.state, "□"
        )

    @property
    def word(self) -> str:
        """The state's name among the verdicts, for its colour."""
        return {"done": "pass", "overdue": "fail", "missed": "fail", "not needed": "quiet"}.get(
            self.state, "open"
        )

    @property
    def told(self) -> str:
        """In words: "due by 10:30 am: done at 10:12 am"."""
        when = f" at {shown.clock(self.done_at)}" if self.done_at else ""
        return f"due by {shown.clock(self.at)}: {self.state}{when}"


def dues_of(lines: Iterable[Line], site: Site, day: date, now: datetime) -> tuple[Due, ...]:
    """Return every due time of a local day, to be shown (``rounds_due.dues_of`` tells how)."""
    found = rounds_due.dues_of(lines, site, day, now)
    return tuple(Due(due.plan, due.at, due.state, due.done_at, due.left) for due in found)
