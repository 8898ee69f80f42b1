"""A short notation for what was heard, so that tables can be read and written by hand.

``2:30x`` a clock time with am or pm open, ``14:30`` a known one, ``*:20`` without its hour, ``?`` behind
one that only numbers say; ``200 ppm``, ``38`` numbers (``165/1005``: several values); ``#2 table`` an
ordinal; ``90 min`` a span; ``day-1 morning``, ``tue``, ``last tue``, ``nov 23``, ``the 23`` days;
``day-1 @ 12:00``, ``now-90``, ``close+60`` moments. Before them ``[since ~about]``: marker and hedge.
Several meanings are joined by ``|``, several quantities by ``+``.
"""

from __future__ import annotations

from fractions import Fraction

from intents.quantities import Clock, Day, Meaning, Moment, Number, Ordinal, Quantity, Span

WEEKDAYS = "mon tue wed thu fri sat sun".split()
MONTHS = "jan feb mar apr may jun jul aug sep oct nov dec".split()


def shown(meaning: Meaning) -> str:
    """Return a meaning in the notation."""
    match meaning:
        case Number():
            return f"{'/'.join(f'{v.normalize():f}' for v in meaning.values)} {_unit(meaning)}".strip()
        case Ordinal():
            return f"#{'/'.join(map(str, meaning.values))} {meaning.noun}".strip()
        case Clock():
            return _clock(meaning)
        case Span():
            return f"{'/'.join(map(str, meaning.minutes))} min"
        case Day():
            return _day(meaning)
        case Moment():
            return _moment(meaning)


def _unit(number: Number) -> str:
    return number.unit or ("degrees" if number.kind == "temperature" else "")


def _clock(clock: Clock) -> str:
    sign = "" if clock.worded else "?"
    if len(clock.hours) == 24:
        return f"*:{clock.minute:02d}{sign}"
    hour = f"{clock.hours[0] or 12}" if clock.open else f"{clock.hours[0]:02d}"
    return f"{hour}:{clock.minute:02d}{'x' if clock.open else ''}{sign}"


def _day(day: Day) -> str:
    told = [day.which] if day.which else []
    if day.offset is not None:
        told.append(f"day{day.offset:+d}" if day.offset else "today")
    if day.weekday is not None:
        told.append(WEEKDAYS[day.weekday])
    if day.month is not None:
        told.append(MONTHS[day.month - 1])
    if day.number is not None:
        told.append(str(day.number) if day.month else f"the {day.number}")
    return " ".join([*told, day.part] if day.part else told)


def _moment(moment: Moment) -> str:
    told = [_day(moment.day)] if moment.day else []
    told += [_clock(moment.clock)] if moment.clock else []
    told += [moment.anchor] if moment.anchor else []
    away = f"{'+' if moment.offset > 0 else ''}{moment.offset}" if moment.offset != Fraction(0) else ""
    return " @ ".join(told) + away


def heard(quantities: tuple[Quantity, ...]) -> str:
    """Return the quantities in the notation."""
    return " + ".join(_quantity(q) for q in quantities)


def _quantity(quantity: Quantity) -> str:
    marks = " ".join(filter(None, (quantity.marker, f"~{quantity.hedge}" if quantity.hedge else "")))
    meanings = " | ".join(map(shown, quantity.meanings)) or "-"
    return f"[{marks}] {meanings}" if marks else meanings
