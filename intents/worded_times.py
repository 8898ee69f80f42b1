"""Times of day that are sure by their own words."""

from __future__ import annotations

from intents.lexicon import Span
from intents.quantities import Clock, Number, quantities


def worded_times(words: tuple[str, ...], code: str) -> tuple[Span, ...]:
    """Return the times of day that their own words make sure ("ten to two"): no number in them is a reading.

    The value is empty where the hour was left out ("twenty past").
    """
    found = []
    for quantity in quantities(words, code):
        clock = quantity.first(Clock)
        if clock is None or not clock.worded or quantity.first(Number) is not None:
            continue
        hour = clock.hours[0]
        exact = f"{hour:02d}:{clock.minute:02d}"
        half = f"{hour % 12 or 12:02d}:{clock.minute:02d}?"
        value = exact if not clock.open else half if len(clock.hours) == 2 else ""
        found.append(Span("clock", value, quantity.start, quantity.end))
    return tuple(found)
