"""Spanish clock times: "a las dos y media", "las seis menos cuarto", "a las diez de la noche", "mediodia"."""

from __future__ import annotations

from collections.abc import Callable

from intents.es import numbers

Words = tuple[str, ...]
_NAMED = {"mediodia": "12:00", "medianoche": "00:00"}
_HOURS_WORDS = frozenset({"las", "la"})
_HALVES = {
    ("de", "la", "manana"): 0,
    ("de", "la", "tarde"): 12,
    ("de", "la", "noche"): 12,
    ("am",): 0,
    ("pm",): 12,
}
_PARTS = {"media": 30, "cuarto": 15, "medio": 30}


def clock_from(words: Words, at: int, marked: bool, unit_at: Callable[[int], bool]) -> tuple[int, str] | None:
    """Return the end and the time of a clock time at ``at``; see ``intents.language``."""
    if words[at] in _NAMED:
        return at + 1, _NAMED[words[at]]
    if ":" in words[at]:
        hour, minute = map(int, words[at].split(":"))
        return _with_half(words, at + 1, hour, minute)
    told = at > 0 and words[at - 1] in _HOURS_WORDS
    if not (told or marked):
        return None
    hours = numbers.integers(words[at : at + 1])
    if not hours or not 1 <= (hour := min(hours)) <= 12 or (not told and unit_at(at + 1)):
        return None
    return _with_minutes(words, at + 1, hour)


def _with_minutes(words: Words, end: int, hour: int) -> tuple[int, str] | None:
    sign = words[end] if end < len(words) else ""
    if sign in ("y", "menos") and end + 1 < len(words):
        minute, stop = _minutes(words, end + 1)
        if minute is not None and 0 < minute < 60:
            before = sign == "menos"
            return _with_half(
                words,
                stop,
                (hour - 2) % 12 + 1 if before else hour,
                60 - minute if before else minute,
            )
    minute, stop = _minutes(words, end) if end < len(words) and sign not in ("y", "menos") else (None, end)
    if minute is not None and 10 <= minute < 60:
        return _with_half(words, stop, hour, minute)
    return _with_half(words, end, hour, 0)


def _minutes(words: Words, at: int) -> tuple[int | None, int]:
    if words[at] in _PARTS:
        return _PARTS[words[at]], at + 1
    for end in range(min(at + 3, len(words)), at, -1):
        found = [value for value in numbers.integers(words[at:end]) if value < 60]
        if found:
            return min(found), end
    return None, at


def _with_half(words: Words, end: int, hour: int, minute: int) -> tuple[int, str]:
    for half, plus in _HALVES.items():
        if words[end : end + len(half)] == half:
            return end + len(half), f"{hour % 12 + plus:02d}:{minute:02d}"
    return end, f"{hour:02d}:{minute:02d}" + ("" if hour > 12 else "?")
