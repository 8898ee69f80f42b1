"""Clock times as they are said in Brazilian Portuguese: "às duas e meia", "dez para as duas", "14h30"."""

from __future__ import annotations

import re
from collections.abc import Callable

from intents.pt.numbers import Words, integers

_TO = (("para", "as"), ("para", "a"), ("pras",), ("pra",))
_NAMED = {"meiodia": 12, "meianoite": 0}
_HALVES = {("da", "manha"): 0, ("da", "madrugada"): 0, ("da", "tarde"): 12, ("da", "noite"): 12}
_WRITTEN = re.compile(r"(\d{1,2}):(\d{2})")


def _number(words: Words, at: int, most: int) -> tuple[int, int] | None:
    """Return the end and the value of the longest number up to ``most`` at ``at``."""
    for end in range(min(len(words), at + 3), at, -1):
        found = [number for number in integers(words[at:end]) if number <= most]
        if found:
            return end, max(found)
    return None


def _minutes(words: Words, at: int) -> tuple[int, int]:
    """Return the end and the minutes said behind an hour at ``at``; none is zero."""
    if at + 1 < len(words) and words[at] == "e":
        if words[at + 1] == "meia":
            return at + 2, 30
        said = _number(words, at + 1, 59)
        if said:
            return said
    return at, 0


def _shown(words: Words, end: int, hour: int, minute: int) -> tuple[int, str]:
    """Return the time with the half of the day that is said behind it, or open."""
    half = _HALVES.get(words[end : end + 2])
    if half is not None and hour <= 12:
        late = half and not (hour == 12 and words[end + 1] == "noite")
        hour = hour % 12 + (12 if late else 0)
        return end + 2, f"{hour:02}:{minute:02}"
    return end, f"{hour:02}:{minute:02}" + ("?" if 1 <= hour <= 12 else "")


def _named(words: Words, at: int) -> tuple[int, int] | None:
    if words[at] in _NAMED:
        return at + 1, _NAMED[words[at]]
    return {("meio", "dia"): (at + 2, 12), ("meia", "noite"): (at + 2, 0)}.get(words[at : at + 2])


def _before(words: Words, at: int) -> tuple[int, str] | None:
    """Return "dez para as duas", "quinze para o meio-dia"."""
    minutes = _number(words, at, 30)
    if not minutes:
        return None
    end, before = minutes
    if words[end : end + 1] == ("minutos",):
        end += 1
    if words[end : end + 2] in {("para", "o"), ("para", "a")} and end + 2 < len(words):
        named = _named(words, end + 2)
        if named:
            stop, hour = named
            return stop, f"{(hour - 1) % 24:02}:{60 - before:02}"
    for phrase in _TO:
        if words[end : end + len(phrase)] == phrase:
            hour_said = _number(words, end + len(phrase), 12)
            if hour_said and hour_said[1]:
                stop, hour = hour_said
                return _shown(words, stop, hour - 1 or 12, 60 - before)
    return None


def clock_from(words: Words, at: int, marked: bool, unit_at: Callable[[int], bool]) -> tuple[int, str] | None:
    """Return the end and the time ("14:30", "02:30?" without am or pm) of a clock time at ``at``.

    ``marked`` tells that a word before it ("às", "desde") makes a bare number a time; ``unit_at`` tells
    whether a unit begins at a word, which makes it a measure.
    """
    if at >= len(words):
        return None
    to = _before(words, at)
    if to:
        return to
    named = _named(words, at)
    if named:
        end, minute = _minutes(words, named[0])
        return end, f"{named[1]:02}:{minute:02}"
    written = _WRITTEN.fullmatch(words[at])
    if written and int(written[1]) < 24 and int(written[2]) < 60:
        return _shown(words, at + 1, int(written[1]), int(written[2]))
    return _said(words, at, marked, unit_at)


def _said(words: Words, at: int, marked: bool, unit_at: Callable[[int], bool]) -> tuple[int, str] | None:
    """Return an hour said as a number, with its minutes and "horas"."""
    hour = _number(words, at, 23)
    if not hour:
        return None
    end, number = hour
    hours = words[end : end + 1] in {("hora",), ("horas",)}
    after = end + 1 if hours else end
    if unit_at(end) and not (hours and marked):
        return None
    stop, minute = _minutes(words, after)
    if stop > after and unit_at(stop) and words[stop : stop + 1] != ("minutos",):
        return None
    halved = words[stop : stop + 2] in _HALVES
    if not (marked or halved):
        return None
    return _shown(words, stop, number, minute)
