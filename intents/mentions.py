"""Marks what an utterance mentions: concepts, foods, equipment, people, measures, clock times, days."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal

from intents.en import numbers
from intents.lexicon import Finder, Lexicon, Span
from intents.words import BROKEN, tokenise

UNIT_KINDS = {
    "unit_fahrenheit": ("temperature", "F"),
    "unit_celsius": ("temperature", "C"),
    "unit_degrees": ("temperature", ""),
    "unit_ppm": ("ppm", "ppm"),
    "unit_percent": ("percent", "percent"),
    "unit_gallon": ("volume", "gallon"),
    "unit_quart": ("volume", "quart"),
    "unit_litre": ("volume", "litre"),
    "unit_millilitre": ("volume", "millilitre"),
    "unit_cup": ("volume", "cup"),
    "unit_teaspoon": ("volume", "teaspoon"),
    "unit_tablespoon": ("volume", "tablespoon"),
    "unit_fluid_ounce": ("volume", "fluid ounce"),
    "unit_pound": ("weight", "pound"),
    "unit_ounce": ("weight", "ounce"),
    "unit_kilogram": ("weight", "kilogram"),
    "unit_second": ("duration", "second"),
    "unit_minute": ("duration", "minute"),
    "unit_hour": ("duration", "hour"),
    "unit_day": ("duration", "day"),
    "unit_week": ("duration", "week"),
    "unit_feet": ("altitude", "foot"),
    "unit_ph": ("ph", "pH"),
    "unit_psi": ("pressure", "psi"),
    "unit_inch": ("length", "inch"),
}


@dataclass(frozen=True, slots=True)
class Measure:
    """A number with its unit (may be empty) and where it stands; ``options`` are all its meanings."""

    kind: str
    options: tuple[Decimal, ...]
    unit: str
    start: int
    end: int

    @property
    def value(self) -> Decimal:
        """The only meaning, or the likeliest (the longest reading comes first)."""
        return self.options[0]


@dataclass(frozen=True)
class SpokenNames:
    """The names that may be said here: foods from the rules and the menu, equipment, people and rounds of the site.

    Each is a pair of the spoken phrase and what it stands for.
    """

    foods: tuple[tuple[str, str], ...] = ()
    equipment: tuple[tuple[str, str], ...] = ()
    people: tuple[tuple[str, str], ...] = ()
    rounds: tuple[tuple[str, str], ...] = ()

    def finders(self) -> dict[str, Finder]:
        """Return one finder a kind of name."""
        return {
            "food": Finder("food", self.foods),
            "equipment": Finder("equipment", self.equipment),
            "person": Finder("person", self.people),
            "round": Finder("round", self.rounds),
        }


@dataclass(frozen=True)
class Understanding:
    """An utterance with everything found in it. Nothing is decided yet."""

    text: str
    words: tuple[str, ...]
    concepts: tuple[Span, ...]
    names: dict[str, tuple[Span, ...]] = field(default_factory=dict)
    measures: tuple[Measure, ...] = ()
    clocks: tuple[Span, ...] = ()

    def has(self, *concepts: str) -> bool:
        """True when any of ``concepts`` is mentioned."""
        return any(span.value in concepts for span in self.concepts)

    @property
    def free_measures(self) -> tuple[Measure, ...]:
        """The measures, without bare numbers that are part of a name ("three compartment sink")."""
        names = [s for spans in self.names.values() for s in spans]
        return tuple(
            m
            for m in self.measures
            if m.kind != "number" or not any(s.start <= m.start and m.end <= s.end for s in names)
        )

    @property
    def broken(self) -> bool:
        """True when a numeral could not be read as anything."""
        return BROKEN in self.words


def understand(text: str, lexicon: Lexicon, finders: dict[str, Finder]) -> Understanding:
    """Mark everything in ``text``: pure, no decision taken."""
    words = _apply_sound_alikes(tokenise(text), lexicon)
    concepts = lexicon.finder.find_all(words)
    names = {kind: finder.find_longest(words) for kind, finder in finders.items()}
    return Understanding(
        text, words, concepts, names, tuple(_measures(words, concepts)), tuple(_clocks(words, concepts))
    )


def _apply_sound_alikes(words: tuple[str, ...], lexicon: Lexicon) -> tuple[str, ...]:
    """Replace mishearings that are no sensible words here ("hand sync" for hand sink)."""
    text = f" {' '.join(words)} "
    for heard, meant in sorted(lexicon.heard_as.items(), key=lambda item: -len(item[0])):
        text = text.replace(f" {heard} ", f" {meant} ")
    return tuple(text.split())


def _unit_after(concepts: Iterable[Span], at: int) -> Span | None:
    here = [s for s in concepts if s.start == at and s.value in UNIT_KINDS]
    return max(here, key=lambda span: span.end, default=None)


def _measures(words: tuple[str, ...], concepts: tuple[Span, ...]) -> list[Measure]:
    found: list[Measure] = []
    at = 0
    while at < len(words):
        options = numbers.numbers_from(words, at)
        if (half := _and_a_half(words, concepts, at)) is not None:
            found.append(half)
            at = half.end
            continue
        if words[at] in ("a", "an", "per") and (unit := _unit_after(concepts, at + 1)):
            kind, name = UNIT_KINDS[unit.value]
            found.append(Measure(kind, (Decimal(1),), name, at, unit.end))
            at = unit.end
            continue
        if not options:
            at += 1
            continue
        end, meanings = options[0]
        skip = 1 if end < len(words) and words[end] in ("a", "of") and _unit_after(concepts, end + 1) else 0
        unit_span = _unit_after(concepts, end + skip)
        kind, name = UNIT_KINDS[unit_span.value] if unit_span else ("number", "")
        stop = unit_span.end if unit_span else end
        if kind == "temperature" and (more := _unit_after(concepts, stop)):
            more_kind, more_name = UNIT_KINDS[more.value]
            if more_kind == "temperature":
                name, stop = more_name, more.end
        found.append(Measure(kind, tuple(sorted(meanings, reverse=True)), name, at, stop))
        at = stop
    return found


def _and_a_half(words: tuple[str, ...], concepts: tuple[Span, ...], at: int) -> Measure | None:
    """Read "an hour and a half", "two hours and a half", "half an hour", "half a gallon"."""
    if words[at] == "half" and words[at + 1 : at + 2] in (("a",), ("an",)):
        unit = _unit_after(concepts, at + 2)
        if unit is not None:
            kind, name = UNIT_KINDS[unit.value]
            return Measure(kind, (Decimal("0.5"),), name, at, unit.end)
    whole = {Decimal(1)} if words[at] in ("a", "an") else numbers.values(words[at : at + 1])
    unit = _unit_after(concepts, at + 1)
    if unit is None or len(whole) != 1 or words[unit.end : unit.end + 3] != ("and", "a", "half"):
        return None
    kind, name = UNIT_KINDS[unit.value]
    return Measure(kind, (min(whole) + Decimal("0.5"),), name, at, unit.end + 3)


def _clocks(words: tuple[str, ...], concepts: tuple[Span, ...]) -> list[Span]:
    """Find clock times: "2:30", "two o'clock", "half past six", "at six thirty", "ten pm", "noon"."""
    found: list[Span] = []
    before = {s.end for s in concepts if s.value == "clock_before"}
    for at, word in enumerate(words):
        if word == "noon" or word == "midnight":
            found.append(Span("clock", "12:00" if word == "noon" else "00:00", at, at + 1))
        elif ":" in word:
            found.append(_with_half(words, at, at + 1, *map(int, word.split(":"))))
        elif words[at : at + 2] in (("half", "past"), ("quarter", "past"), ("quarter", "to")):
            hour = numbers.integers(words[at + 2 : at + 3])
            if hour and 1 <= (h := min(hour)) <= 12:
                minute = 30 if word == "half" else 15 if words[at + 1] == "past" else 45
                found.append(_with_half(words, at, at + 3, h if minute != 45 else (h - 2) % 12 + 1, minute))
        else:
            for end, options in numbers.numbers_from(words, at)[:1]:
                marked = end < len(words) and words[end] in ("oclock", "am", "pm", "o'clock")
                times = [t for v in options if (t := _as_time(v)) is not None]
                if times and (marked or (at in before and _unit_after(concepts, end) is None)):
                    stop = end + 1 if marked and words[end] in ("oclock", "o'clock") else end
                    found.append(_with_half(words, at, stop, *times[0]))
                    break
    return found


def _as_time(value: Decimal) -> tuple[int, int] | None:
    if value != int(value) or value < 1:
        return None
    hour, minute = divmod(int(value), 100) if value >= 100 else (int(value), 0)
    return (hour, minute) if 1 <= hour <= 12 and minute < 60 else None


def _with_half(words: tuple[str, ...], start: int, end: int, hour: int, minute: int) -> Span:
    half = words[end] if end < len(words) and words[end] in ("am", "pm") else ""
    if half:
        hour, end = hour % 12 + (12 if half == "pm" else 0), end + 1
    return Span("clock", f"{hour:02d}:{minute:02d}" + ("" if half or hour > 12 else "?"), start, end)
