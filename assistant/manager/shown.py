"""How entries are shown on the page and in the report: values, limits, times, names."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

from assistant.logbook.entry import Entry, Limits
from assistant.logbook.unjudged import is_unjudged, why
from assistant.logbook.views import Line
from assistant.site import Site

MARKS = {
    "pass": "●",
    "fail": "▲",
    "cannot judge": "◇",
    "cooling": "◇",
    "open": "□",
    "closed": "■",
    "not taken": "–",
    "": "·",
}
"""A shape beside each word, so that nothing is told by colour alone."""
KIND_WORDS = {
    "action_opened": "corrective action",
    "action_closed": "action closed",
    "not_taken": "not taken",
    "sign_in": "sign-in",
    "clock_change": "clock changed",
    "retention": "removed by rule",
}
DEGREES = ("F", "C")


def plain(number: Decimal | Fraction | float | int) -> str:
    """Return a number without trailing zeros, with one decimal place at most for a computed one."""
    if isinstance(number, (Fraction, float)):
        number = Decimal(str(round(float(number), 1)))
    text = f"{Decimal(number):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def with_unit(value: str, unit: str) -> str:
    """Return a number with its unit ("41°F", "200 ppm")."""
    return f"{value}°{unit}" if unit in DEGREES else f"{value} {unit}".strip()


def value(entry: Entry) -> str:
    """Return an entry's value with its unit, or an empty string."""
    return "" if entry.value is None else with_unit(entry.value, entry.unit)


def limits(span: Limits | None) -> str:
    """Return limits in words ("41°F or colder", "200 to 400 ppm"), or an empty string."""
    if span is None or (span.low is None and span.high is None):
        return ""
    warm = span.unit in DEGREES
    if span.low is None and span.high is not None:
        return f"{with_unit(span.high, span.unit)} or {'colder' if warm else 'less'}"
    if span.high is None and span.low is not None:
        return f"{with_unit(span.low, span.unit)} or {'hotter' if warm else 'more'}"
    return f"{span.low} to {with_unit(span.high or '', span.unit)}"


def moment(entry: Entry) -> datetime:
    """Return the local time that an entry speaks of."""
    return entry.moment


def clock(at: datetime) -> str:
    """Return a time of day on a twelve-hour clock ("2:05 pm")."""
    return f"{at.hour % 12 or 12}:{at.minute:02d} {'am' if at.hour < 12 else 'pm'}"


def day(which: date) -> str:
    """Return a day in full ("Monday 2 March 2026")."""
    return f"{which:%A} {which.day} {which:%B %Y}"


def short_day(which: date) -> str:
    """Return a day in short ("Mon 2 Mar")."""
    return f"{which:%a} {which.day} {which:%b}"


def capital(text: str) -> str:
    """Return ``text`` with its first letter a capital."""
    return text[:1].upper() + text[1:]


def about(entry: Entry, site: Site) -> str:
    """Return what an entry is about: the place, and the food where there is one."""
    name = site.spoken_name(entry.subject)
    if entry.place and entry.place != entry.subject:
        name += f" ({site.spoken_name(entry.place)})"
    return capital(name)


def kind(entry: Entry) -> str:
    """Return the word for an entry's kind."""
    return KIND_WORDS.get(entry.kind, entry.kind)


def verdict(line: Line) -> str:
    """Return the word that tells how a line stands: pass, fail, open, closed, not taken, or nothing."""
    if line.entry.kind == "action_opened":
        return "open" if line.open else "closed"
    if line.entry.kind == "not_taken":
        return "not taken"
    if line.now.measured == "cooling" and line.now.verdict == "cannot judge":
        return "cooling"
    return line.now.verdict or ""


def unjudged(line: Line) -> str:
    """Return why a reading was not judged, or an empty string for every other line."""
    return capital(why(line.now)) if is_unjudged(line) else ""


def mark(word: str) -> str:
    """Return the shape that goes with a word of ``verdict``."""
    return MARKS.get(word, MARKS[""])


def who(entry: Entry) -> str:
    """Return the person, or that nobody had signed in."""
    return entry.person or "nobody signed in"
