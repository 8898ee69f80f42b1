"""Readings that neither passed nor failed, and why; pure."""

from __future__ import annotations

from decimal import Decimal

from assistant.logbook.entry import Entry
from assistant.logbook.views import Line

CHANGED = "nobody judged the new value"
NOTHING = "nothing said what to judge it by"
OUTSIDE = "outside the limit, which alone is no failure: the rest was not told"
INSIDE = "within the limit, and what else decides was not told"


def is_unjudged(line: Line) -> bool:
    """Whether a standing reading has no verdict; one on the way of cooling is judged at its end."""
    if line.withdrawn or line.now.kind != "reading" or line.now.verdict in ("pass", "fail"):
        return False
    return not is_cooling(line)


def is_cooling(line: Line) -> bool:
    """Whether a reading is one of food on the way of cooling, which is no verdict yet."""
    return line.now.measured == "cooling" and line.now.verdict == "cannot judge"


def why(entry: Entry) -> str:
    """Return why a reading as it stands was not judged."""
    if entry.verdict is None:
        return CHANGED
    span = entry.limits
    if span is None or entry.value is None or (span.low is None and span.high is None):
        return NOTHING
    value = Decimal(entry.value)
    below = span.low is not None and value < Decimal(span.low)
    above = span.high is not None and value > Decimal(span.high)
    return OUTSIDE if below or above else INSIDE
