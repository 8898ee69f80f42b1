"""What is due: the next limit of every running clock, worked out from the log whenever it is asked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from assistant.dialogue.answer import Value, degrees
from assistant.dialogue.clocks import ClockKind, RunningClock, batch_readings, made_cold, running_clocks
from assistant.dialogue.moments import shown_time
from assistant.logbook.views import Views
from assistant.rules.basis import Limit, Temperature
from assistant.rules.cooling import next_limit
from assistant.rules.cooling_curve import CoolingReading
from assistant.rules.cooling_forecast import forecast_cooling
from assistant.rules.profile import Profile
from assistant.rules.thawing import water_minutes_left
from assistant.rules.time_control import TimeHold, discard_time
from assistant.site import Site

AHEAD = {
    "cooling": timedelta(minutes=20),
    "thawing": timedelta(minutes=15),
    "time": timedelta(minutes=10),
    "sanitizer": timedelta(minutes=10),
}
"""How long before its limit a clock is spoken of: enough to act (our own choice)."""


@dataclass(frozen=True)
class Reminder:
    """One limit that is coming: what of, which (a reply of ``due_list``), until when, and its clock entry."""

    kind: ClockKind
    subject: str
    at: datetime
    entry_id: int
    values: Mapping[str, Value]

    def soon(self, now: datetime) -> bool:
        """True once it is time to speak of it."""
        return now >= self.at - AHEAD[self.kind]

    def late(self, now: datetime) -> bool:
        """True once the limit has passed."""
        return now > self.at


def due(now: datetime, views: Views, site: Site) -> list[Reminder]:
    """Return the next limit of every clock that runs at ``now``, the nearest first."""
    found = [reminder for clock in running_clocks(views, now) if (reminder := _next(clock, views, site))]
    return sorted(found, key=lambda reminder: (reminder.at, reminder.entry_id))


def _next(clock: RunningClock, views: Views, site: Site) -> Reminder | None:
    values: dict[str, Value] = {}
    if clock.kind == "cooling" and made_cold(clock.food):
        limit, at = ambient_limit(clock, site.profile)
        values["limit"] = degrees(limit.value, limit.unit)
    elif clock.kind == "cooling":
        coming = next_limit(batch_readings(views, clock, site.profile), site.profile)
        if coming is None:
            return None
        limit, hours = coming
        at = clock.start + timedelta(hours=float(hours))
        values["limit"] = degrees(limit.value, limit.unit)
    else:
        at = end_of(clock, site.profile)
    values |= {"subject": site.spoken_name(clock.subject), "time": shown_time(at)}
    return Reminder(clock.kind, clock.subject, at, clock.entry_id, values)


def ambient_limit(clock: RunningClock, profile: Profile) -> tuple[Limit, datetime]:
    """Return the one limit of food made cold or at room temperature, and when it is due."""
    hours = profile.value("cooling_ambient_hours_max")
    return profile.limit("cooling_end"), clock.start + timedelta(hours=float(hours))


def end_of(clock: RunningClock, profile: Profile) -> datetime:
    """Return when a clock without readings is over, by the stricter start where it was not said."""
    if clock.kind == "thawing":
        return clock.start + timedelta(minutes=float(water_minutes_left(profile, Decimal(0))))
    if clock.kind == "sanitizer":
        return clock.start + timedelta(hours=float(profile.value("solution_age_hours_max")))
    return min(discard_time(clock.start, hold, profile) for hold in _holds(profile))


def _holds(profile: Profile) -> tuple[TimeHold, ...]:
    limits = (profile.limit("time_control_hot_start_min"), profile.limit("time_control_cold_start_max"))
    starts = (Temperature(limit.value, "C" if limit.unit == "C" else "F") for limit in limits)
    return tuple(TimeHold("four_hours", start, None) for start in starts)


def outlook(
    readings: Sequence[CoolingReading], start: datetime, profile: Profile
) -> tuple[str, dict[str, Value]]:
    """Return what the readings so far promise for a cooling batch: a reply key and its values.

    ``likely`` and ``unlikely`` come with the time at which the limit is expected; ``unsure`` and an empty
    key (too few readings) promise nothing. A forecast is never a verdict.
    """
    forecast = forecast_cooling(readings, profile)
    if forecast is None:
        return "", {}
    values: dict[str, Value] = {"limit": degrees(forecast.limit.value, forecast.limit.unit)}
    if forecast.expected_hours is None:
        return ("never" if forecast.outlook == "unlikely" else ""), values
    values["when"] = shown_time(start + timedelta(hours=forecast.expected_hours))
    return forecast.outlook, values
