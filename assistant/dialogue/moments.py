"""Clock times, dates and days as said, made into moments near now: "six thirty" is the latest that was."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from assistant.dialogue.slots import WEEKDAYS, Slots
from assistant.logbook.query import Filter
from intents.lexicon import load_lexicon
from intents.mentions import Measure

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
    """Return the day that the words name (today, yesterday, a weekday), or ``None``; a weekday is the latest.

    "Opened Sunday, today is Friday": what today or yesterday is called names no other day. A day of some week
    before ("Sunday before last") is not known, nor is the weekday of today: today's, or a week old.
    """
    today, (weekday, _) = now.date(), _weekdays(slots)
    if _some_week(slots) or (weekday == today.weekday() and not slots.has("day_today", "day_morning")):
        return None
    if weekday is not None:
        return today - timedelta(days=_days_ago(slots, (today.weekday() - weekday) % 7))
    if slots.has("day_before_yesterday"):
        return today - timedelta(days=2)
    if slots.has("day_yesterday"):
        return today - timedelta(days=1)
    return today if slots.has("day_today", "day_morning") else None


def day_number(slots: Slots, now: datetime) -> int | None:
    """Return which day today is of what was made or opened on the day named, that day being the first.

    What was made on a weekday that is today's, too, is a week old: of today's nobody says its name.
    Of several weekdays the one that is longest ago counts.
    """
    made, (weekday, called) = day_said(slots, now), _weekdays(slots)
    several = len(slots.weekdays()[0]) > 1
    if weekday is not None and not _some_week(slots) and (several or called is not None or made is None):
        today = now.weekday() if called is None else called
        told = [WEEKDAYS.index(name) for name in slots.weekdays()[0]] or [weekday]
        return 1 + max(_days_ago(slots, (today - each) % 7 or 7) for each in told)
    return None if made is None or made == now.date() else 1 + (now.date() - made).days


def _days_ago(slots: Slots, days: int) -> int:
    """Return how many days ago a weekday was; "last Wednesday" is no word for yesterday."""
    last = days == 1 and {*slots.words} & load_lexicon(slots.language).list("last_weekday")
    return days + (7 if last else 0)


def _some_week(slots: Slots) -> bool:
    """True for "Sunday before last", "two weeks ago": a day of another week; "an hour ago" is none."""
    hours = any(each.unit in ("second", "minute", "hour") for each in slots.measures)
    return slots.has("other_day", "day_last_week") and not hours


def _weekdays(slots: Slots) -> tuple[int | None, int | None]:
    """Return the weekday on which something was, and the one that today is called, where they were said."""
    (named, called) = slots.weekdays()
    if not (named or called or slots.has("day_yesterday")):
        named = tuple(name for name in WEEKDAYS if name in slots.concepts)  # said before
    told = WEEKDAYS.index(named[0]) if named else None
    return told, WEEKDAYS.index(called) if called else None


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
    for number, name in enumerate(WEEKDAYS):
        if slots.has(name):
            day = today - timedelta(days=(today.weekday() - number) % 7)
            return Span(day, day, f"on {name.removeprefix('day_').capitalize()}")
    if slots.has("day_morning"):
        return Span(today, today, "this morning", now.replace(hour=12, minute=0, second=0, microsecond=0))
    return Span(today, today, "today")
