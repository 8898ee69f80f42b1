"""From a time as said and the present to the moments that it can stand for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Literal

from intents.quantities.meanings import Clock, Day, Moment

Tense = Literal["past", "future", "either"]
PARTS: dict[str, tuple[int, int]] = {
    "": (0, 24),
    "morning": (0, 12),
    "afternoon": (12, 19),
    "evening": (16, 24),
    "night": (18, 28),
}
"""First and last hour of a part of the day; beyond 24 it is the next day's (common practice, no source)."""
SURE = timedelta(hours=6)
"""A time of which am or pm is open is in doubt when the nearest one is farther than this: a shift's half."""
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Candidate:
    """A moment that may be meant, aware; for a day or a part of one ``until`` is its end (exclusive)."""

    at: datetime
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class Resolved:
    """The moments that may be meant, the likeliest first, and whether there is doubt between them.

    ``needs`` names the event whose time nobody gave ("open", "then"); there are no candidates then.
    """

    candidates: tuple[Candidate, ...] = ()
    doubt: bool = False
    needs: str = ""

    @property
    def best(self) -> Candidate | None:
        """The likeliest, if there is one."""
        return self.candidates[0] if self.candidates else None


def resolve(
    told: Clock | Moment | Day,
    now: datetime,
    tense: Tense = "past",
    events: Mapping[str, time] | None = None,
    then: datetime | None = None,
) -> Resolved:
    """Return the moments that ``told`` can stand for at ``now``.

    ``tense`` past: none after ``now``, the latest first; future: none before it; either: the nearest
    first. ``events`` gives the daily times of the kitchen's events ("open": 06:00), ``then`` the moment
    that "two hours later" counts from. Raises ``ValueError`` when ``now`` or ``then`` has no time zone.
    """
    for each in (now, *([then] if then else [])):
        if each.tzinfo is None or each.utcoffset() is None:
            raise ValueError("a time can only be resolved against one with its time zone")
    try:
        return _resolve(told, now, tense, events or {}, then)
    except OverflowError:  # "ninety million hours ago": there is no such moment
        return Resolved()


def _resolve(
    told: Clock | Moment | Day, now: datetime, tense: Tense, events: Mapping[str, time], then: datetime | None
) -> Resolved:
    match told:
        case Clock():
            return _clock(told, now, tense, timedelta(0))
        case Day():
            return _day(told, now, tense)
        case Moment():
            return _moment(told, now, tense, events, then)


def _clock(clock: Clock, now: datetime, tense: Tense, away: timedelta) -> Resolved:
    """The times within a day of now that lie ``away`` from what the clock shows."""
    days = [(now - away).date() + k * _DAY for k in (-1, 0, 1)]
    times = [
        _shift(moment, away)
        for day in days
        for hour in clock.hours
        for moment in _real(datetime.combine(day, time(hour, clock.minute), now.tzinfo))
    ]
    within = [t for t in times if _fits(t, now, tense) and _apart(t, now) < _DAY]
    near = sorted(within, key=lambda t: (_apart(t, now), t > now))
    if len(clock.hours) > 2:  # the hour was left out: the nearest of the hours
        near = near[: 2 if tense == "either" else 1]
    return Resolved(tuple(map(Candidate, near)), _doubt(near, now, clock.open))


def _doubt(near: list[datetime], now: datetime, open_half: bool) -> bool:
    """Two moments about equally far, or none near while am or pm is open."""
    if len(near) < 2:
        return False
    first, second = _apart(near[0], now), _apart(near[1], now)
    return (open_half and first > SURE) or second < 2 * first


def _moment(
    told: Moment, now: datetime, tense: Tense, events: Mapping[str, time], then: datetime | None
) -> Resolved:
    away = timedelta(seconds=float(told.offset * 60))
    if told.anchor in ("now", "then"):
        start = now if told.anchor == "now" else then
        if start is None:
            return Resolved(needs="then")
        return _kept([Candidate(_shift(start, away))], now, tense, False)
    clock = told.clock
    if told.anchor:
        if told.anchor not in events:
            return Resolved(needs=told.anchor)
        event = events[told.anchor]
        clock = Clock((event.hour,), event.minute, True)
    if clock is None:
        return _day(told.day, now, tense) if told.day else Resolved()
    if told.day is None:
        return _clock(clock, now, tense, away)
    days, part = _days(told.day, now, tense), told.day.part
    found = [
        Candidate(_shift(t, away))
        for day in days.candidates
        for t in _clock_on(clock, part, day.at.date(), now)
    ]
    return _kept(found, now, tense, None if len(days.candidates) == 1 else days.doubt)


def _clock_on(clock: Clock, part: str, day: date, now: datetime) -> Iterator[datetime]:
    """The clock time on a day, or in a part of it that may run into the next."""
    first, last = PARTS[part]
    for hour in clock.hours:
        for each in (hour, hour + 24):
            if first <= each < last:
                yield from _real(
                    datetime.combine(day + each // 24 * _DAY, time(hour, clock.minute), now.tzinfo)
                )


def _kept(found: Iterable[Candidate], now: datetime, tense: Tense, doubt: bool | None) -> Resolved:
    kept = sorted((c for c in set(found) if _fits(c.at, now, tense)), key=lambda c: _apart(c.at, now))
    return Resolved(tuple(kept), len(kept) > 1 if doubt is None else doubt and len(kept) > 1)


def _day(day: Day, now: datetime, tense: Tense) -> Resolved:
    days = _days(day, now, tense)
    first, last = PARTS[day.part]
    dates = [c.at.date() for c in days.candidates]
    windows = [Candidate(_at_hour(d, first, now), _at_hour(d, last, now)) for d in dates]
    kept = [w for w in windows if _fits_window(w, now, tense)]
    return Resolved(tuple(kept), days.doubt and len(kept) > 1)


def _days(day: Day, now: datetime, tense: Tense) -> Resolved:
    """The dates that a day can be, as midnights."""
    today = now.date()
    if day.offset is not None:
        dates, doubt = [today + day.offset * _DAY], False
        if day.part == "night" and day.offset == 0 and now.hour < PARTS["night"][1] - 24:
            dates.append(today - _DAY)
    else:
        dates, doubt = _by_name(day, today, tense)
    return Resolved(tuple(Candidate(_at_hour(each, 0, now)) for each in dates), doubt)


def _by_name(day: Day, today: date, tense: Tense) -> tuple[list[date], bool]:
    """Weekdays and days of the month: the nearest that fits, and the next one where that is in doubt."""
    tense = {"last": "past", "next": "future"}.get(day.which, tense)  # type: ignore[assignment]
    back = [d for k in range(0, 800) if _is(day, d := today - k * _DAY)][:2] if tense != "future" else []
    ahead = [d for k in range(0, 800) if _is(day, d := today + k * _DAY)][:2] if tense != "past" else []
    if day.which in ("last", "next"):
        found = [d for d in (*back, *ahead) if d != today]
        same_week = bool(found) and found[0].isocalendar()[:2] == today.isocalendar()[:2]
        return found[: 2 if same_week else 1], same_week and len(found) > 1
    if tense == "either":
        near = sorted({*back[:1], *ahead[:1]}, key=lambda d: abs(d - today))
        return near, len(near) > 1
    found = back or ahead
    return found[: 2 if found[:1] == [today] else 1], found[:1] == [today] and day.weekday is not None


def _is(day: Day, each: date) -> bool:
    wanted = ((day.weekday, each.weekday()), (day.month, each.month), (day.number, each.day))
    return all(told is None or told == real for told, real in wanted)


def _at_hour(day: date, hour: int, now: datetime) -> datetime:
    return datetime.combine(day + hour // 24 * _DAY, time(hour % 24), now.tzinfo)


def _real(local: datetime) -> Iterator[datetime]:
    """The moments with this wall time: none in the hour left out in spring, two in autumn's."""
    for each in (local, local.replace(fold=1)):
        if each.astimezone(UTC).astimezone(local.tzinfo).replace(fold=0) != local.replace(fold=0):
            continue
        if not each.fold or each.utcoffset() != local.utcoffset():
            yield each


def _shift(start: datetime, away: timedelta) -> datetime:
    return (start.astimezone(UTC) + away).astimezone(start.tzinfo)


def _apart(one: datetime, other: datetime) -> timedelta:
    return abs(one.astimezone(UTC) - other.astimezone(UTC))


def _fits(each: datetime, now: datetime, tense: Tense) -> bool:
    there, here = each.astimezone(UTC), now.astimezone(UTC)
    return tense == "either" or (there <= here if tense == "past" else there >= here)


def _fits_window(window: Candidate, now: datetime, tense: Tense) -> bool:
    """A day that has begun counts as past, one that has not ended as to come."""
    return _fits(window.at if tense == "past" else window.until or window.at, now, tense)
