"""Clock times, dates and days as said, made into moments near now: "six thirty" is the latest that was."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from assistant.dialogue.slots import Slots
from assistant.logbook.query import Filter
from intents.mentions import Measure

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_HOURS = {
    "second": Decimal(1) / 3600,
    "minute": Decimal(1) / 60,
    "hour": Decimal(1),
    "day": Decimal(24),
    "week": Decimal(168),
}


def past_moment(clock: str, now: datetime) -> datetime:
    """Return the latest moment not after ``now`` that a spoken time can mean ("06:30?": am or pm)."""
    open_half = clock.endswith("?")
    hour, minute = map(int, clock.removesuffix("?").split(":"))
    at = now.replace(hour=hour % 24, minute=minute, second=0, microsecond=0)
    step = timedelta(hours=12) if open_half else timedelta(days=1)
    while at > now:
        at -= step
    while at + step <= now:
        at += step
    return at


def shown_time(moment: datetime) -> str:
    """Return a time as shown ("10:30 pm")."""
    return f"{moment.hour % 12 or 12}:{moment.minute:02d} {'am' if moment.hour < 12 else 'pm'}"


def shown_date(day: date) -> str:
    """Return a date as shown ("Tuesday April 7")."""
    return f"{day:%A %B} {day.day}"


def hours_of(measure: Measure) -> Decimal:
    """Return a duration in hours."""
    return measure.value * _HOURS[measure.unit or "hour"]


def day_said(slots: Slots, now: datetime) -> date | None:
    """Return the latest day that the words name (today, yesterday, a weekday), or ``None``."""
    today = now.date()
    if slots.has("day_yesterday"):
        return today - timedelta(days=1)
    for number, name in enumerate(_WEEKDAYS):
        if slots.has(f"day_{name}"):
            return today - timedelta(days=(today.weekday() - number) % 7)
    return today if slots.has("day_today", "day_morning") else None


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
