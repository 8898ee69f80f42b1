"""English clock times: "2:30", "two o'clock", "half past six", "at six thirty", "ten pm", "noon"."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal

from intents.en import numbers

Words = tuple[str, ...]
_NAMED = {"noon": "12:00", "midnight": "00:00"}
_PAST: dict[Words, int] = {("half", "past"): 30, ("quarter", "past"): 15, ("quarter", "to"): 45}
_OCLOCK = frozenset({"oclock", "o'clock"})
_DOTTED = re.compile(r"([1-9]|1[0-2])\.([0-5]0)")
"""A recogniser's "8.30" for "eight thirty": nobody says a decimal's closing zero."""
_HALVES = frozenset({"am", "pm"})


def clock_from(words: Words, at: int, marked: bool, unit_at: Callable[[int], bool]) -> tuple[int, str] | None:
    """Return the end and the time of a clock time at ``at``; see ``intents.language``."""
    word = words[at]
    if word in _NAMED:
        return at + 1, _NAMED[word]
    if ":" in word:
        hour, minute = map(int, word.split(":"))
        return _with_half(words, at + 1, hour, minute)
    if (dotted := _DOTTED.fullmatch(word)) and not unit_at(at + 1):
        return _with_half(words, at + 1, int(dotted[1]), int(dotted[2]))
    if words[at : at + 2] in _PAST:
        hours = numbers.integers(words[at + 2 : at + 3])
        if not hours or not 1 <= (hour := min(hours)) <= 12:
            return None
        minute = _PAST[words[at : at + 2]]
        return _with_half(words, at + 3, hour if minute != 45 else (hour - 2) % 12 + 1, minute)
    return _plain(words, at, marked, unit_at)


def _plain(words: Words, at: int, marked: bool, unit_at: Callable[[int], bool]) -> tuple[int, str] | None:
    for end, options in numbers.numbers_from(words, at)[:1]:
        told = end < len(words) and (words[end] in _OCLOCK or words[end] in _HALVES)
        times = [time for value in options if (time := _as_time(value)) is not None]
        if times and (told or (marked and not unit_at(end))):
            return _with_half(words, end + 1 if told and words[end] in _OCLOCK else end, *times[0])
    return None


def _as_time(value: Decimal) -> tuple[int, int] | None:
    if value != int(value) or value < 1:
        return None
    hour, minute = divmod(int(value), 100) if value >= 100 else (int(value), 0)
    return (hour, minute) if 1 <= hour <= 12 and minute < 60 else None


def _with_half(words: Words, end: int, hour: int, minute: int) -> tuple[int, str]:
    half = words[end] if end < len(words) and words[end] in _HALVES else ""
    if half:
        hour, end = hour % 12 + (12 if half == "pm" else 0), end + 1
    return end, f"{hour:02d}:{minute:02d}" + ("" if half or hour > 12 else "?")
