"""Clock times and dates as said, made into moments near now: "six thirty" is the latest one that was."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal

from assistant.dialogue.slots import Slots
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
