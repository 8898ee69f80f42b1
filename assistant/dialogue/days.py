"""Which days an utterance means: "this morning", "Tuesday", "last week". Local days of the kitchen."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from assistant.dialogue.slots import Slots
from assistant.logbook.query import Filter

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


@dataclass(frozen=True)
class Span:
    """A span of local days with the words for it; ``until`` cuts the last day short (this morning)."""

    first: date
    last: date
    words: str
    until: datetime | None = None

    @property
    def single(self) -> bool:
        """True for one day."""
        return self.first == self.last

    def filter(self) -> Filter:
        """Return the log filter of the span."""
        return Filter(first_day=self.first, last_day=self.last, until=self.until)


def span_of(slots: Slots, now: datetime) -> Span:
    """Return the days that ``slots`` mention, today if none. A weekday is the latest one, today included."""
    today = now.date()
    if slots.has("day_yesterday"):
        return Span(today - timedelta(days=1), today - timedelta(days=1), "yesterday")
    if slots.has("day_last_week"):
        monday = today - timedelta(days=today.weekday() + 7)
        return Span(monday, monday + timedelta(days=6), "last week")
    if slots.has("day_week"):
        return Span(today - timedelta(days=6), today, "in the last 7 days")
    for number, name in enumerate(_WEEKDAYS):
        if slots.has(f"day_{name}"):
            day = today - timedelta(days=(today.weekday() - number) % 7)
            return Span(day, day, f"on {name.capitalize()}")
    if slots.has("day_morning"):
        return Span(today, today, "this morning", now.replace(hour=12, minute=0, second=0, microsecond=0))
    return Span(today, today, "today")
