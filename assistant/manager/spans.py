"""What a day without entries means: still to come, before the log began, or removed by the retention rule."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from assistant.logbook.query import Filter
from assistant.logbook.views import Views

DayState = Literal["", "to come", "removed", "before the log"]
WORDS: dict[DayState, str] = {
    "": "",
    "to come": "This day is still to come: nothing was missed.",
    "removed": "The entries of this day were removed by the rule for how long they are kept: what is not"
    " shown here may well have been done.",
    "before the log": "The log had not begun on this day: what is not shown here was not recorded.",
}


@dataclass(frozen=True, slots=True)
class Span:
    """The days that the log can speak of: from ``first`` to ``today``; before it, what was ``removed``."""

    first: date | None
    today: date
    removed: bool

    def state(self, day: date) -> DayState:
        """Return what a day is, '' for one that the log can speak of."""
        if day > self.today:
            return "to come"
        if self.first is None or day < self.first:
            return "removed" if self.removed else "before the log"
        return ""


def span_of_log(views: Views, today: date, site: str = "") -> Span:
    """Return the span of a log."""
    rule = views.latest(Filter(kinds=("retention",), subject="entries", site=site))
    return Span(views.first_day(site), today, rule is not None)
