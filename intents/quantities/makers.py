"""What a form's bindings mean: one function for each layer of forms."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

from intents.quantities.meanings import Clock, Day, Meaning, Moment, Span

Bindings = Mapping[str, Any]
_MINUTES_OF_A_DAY = 24 * 60


def make_clock(bound: Bindings) -> Clock | None:
    """Return the clock time of an hour with minutes after or before it; ``None`` where none fits."""
    hours, minute = _hours(bound), bound.get("minute", 0)
    if "written" in bound or "digits" in bound:
        _, minute, _ = bound.get("written") or bound["digits"]
    if (half := bound.get("half")) is not None:
        hours = tuple(h for h in hours if any(half[0] <= each < half[1] for each in (h, h + 24)))
    times = [(hour * 60 + minute - bound.get("before", 0)) % _MINUTES_OF_A_DAY for hour in hours]
    if not times:
        return None
    worded = bool(bound.get("worded")) or half is not None
    return Clock(tuple(sorted(time // 60 for time in times)), times[0] % 60, worded)


def _hours(bound: Bindings) -> tuple[int, ...]:
    if (told := bound.get("written") or bound.get("digits")) is not None:
        hour, _, known = told
        return (hour % 24,) if known else _both(hour)
    for known_hour in ("named", "hour24"):
        if known_hour in bound:
            return (bound[known_hour] % 24,)
    return _both(bound["hour"]) if "hour" in bound else tuple(range(24))


def _both(hour: int) -> tuple[int, ...]:
    return (hour % 12, hour % 12 + 12)


def make_span(bound: Bindings) -> Span | None:
    """Return the span of an amount of a unit, with what adds to it."""
    unit: Fraction = bound["unit"]
    amounts = bound.get("amount", (Fraction(1),))
    seconds = bound.get("amount2", (Fraction(0),))
    if not amounts or not seconds or ("unit2" in bound and not bound["unit2"] < unit):
        return None
    if "unit2" in bound and max(seconds) * bound["unit2"] >= unit:
        return None
    more = bound.get("extra", Fraction(0)) * unit + bound.get("minutes", 0)
    totals = (a * unit + b * bound.get("unit2", Fraction(0)) + more for a in amounts for b in seconds)
    return Span(tuple(dict.fromkeys(totals)))


def make_day(bound: Bindings) -> Day:
    """Return the day of what was bound, or the part of a day that was."""
    day: Day | None = bound.get("day")
    if day is not None:
        return Day(day.offset, day.weekday, day.month, day.number, day.which, bound.get("part", day.part))
    names = ("offset", "weekday", "month", "number")
    told = {name: bound.get(name) for name in names}
    if "days" in bound:
        told["offset"] = -bound["days"]
    return Day(**told, which=bound.get("which", ""), part=bound.get("part", ""))


def make_moment(bound: Bindings) -> Meaning | None:
    """Return the moment of a day, a clock time or an event, and a way from it."""
    back, ahead = (_likeliest(bound.get(name)) for name in ("back", "ahead"))
    offset = ahead - back
    clock: Clock | None = bound.get("clock")
    if clock is not None and offset and not clock.worded:
        return None
    return Moment(bound.get("day"), clock, bound.get("anchor", ""), offset)


def _likeliest(span: Span | None) -> Fraction:
    return span.minutes[0] if span else Fraction(0)


MAKERS: dict[str, Callable[[Bindings], Meaning | None]] = {
    "clock": make_clock,
    "span": make_span,
    "date": make_day,
    "day": make_day,
    "moment": make_moment,
}
