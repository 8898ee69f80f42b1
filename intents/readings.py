"""Reads spoken readings: equipment (or food) first, then one number, several in a breath.

"quat bucket two hundred, walk-in thirty eight". Every word has to be explained, or nothing is read.
When two ways of reading both make sense ("bucket two fifty": bucket 2 at 50, or the bucket at 250)
both are returned and the dialogue asks.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from importlib.resources import files

from intents.en import numbers
from intents.lexicon import Finder, Lexicon, Span
from intents.mentions import UNIT_KINDS, Understanding

PREPOSITIONS = frozenset({"on", "in", "for", "at"})


@dataclass(frozen=True, slots=True)
class Reading:
    """One value said of one place or food. ``quantity`` is temperature or ppm; ``unit`` empty if unsaid.

    ``measured`` names what was measured when the words said so (wash, rinse, final rinse, surface).
    """

    subject: str
    subject_kind: str  # equipment or food
    value: Decimal
    quantity: str
    unit: str
    measured: str = ""
    place: str = ""


@dataclass(frozen=True, slots=True)
class ReadingParse:
    """All ways that the whole utterance reads as readings: none, one, or several that must be asked."""

    options: tuple[tuple[Reading, ...], ...] = ()

    @property
    def certain(self) -> tuple[Reading, ...]:
        """The readings when there is exactly one way; otherwise empty."""
        return self.options[0] if len(self.options) == 1 else ()


@cache
def equipment_kinds() -> dict[str, dict[str, object]]:
    """Return the table of what can be read at each kind of equipment."""
    return tomllib.loads((files("intents") / "equipment_kinds.toml").read_text(encoding="utf-8"))


def plausible(kind: str, quantity: str, value: Decimal, celsius: bool = False) -> bool:
    """Return whether ``value`` makes sense for ``quantity`` (temperature in F unless ``celsius``, or ppm)."""
    span = equipment_kinds().get(kind, {}).get(quantity)
    if not isinstance(span, list):
        return False
    number = value * 9 / 5 + 32 if celsius and quantity == "temperature" else value
    return bool(span[0] <= number <= span[1])


KindOf = Callable[[str], str]


def parse_readings(
    heard: Understanding, finders: dict[str, Finder], lexicon: Lexicon, kind_of: KindOf, unit: str = "F"
) -> ReadingParse:
    """Return every way in which all words of ``heard`` read as readings.

    ``kind_of`` gives the kind of an equipment id, ``unit`` the site's degrees where none are said. Only explanations of the whole utterance count; of
    those, the ones whose numbers all make sense for their place win over those that do not.
    """
    if heard.broken:
        return ReadingParse()
    parser = _Parser(heard, finders, lexicon, kind_of, unit)
    options = {parse for parse in parser.parse(0) if parse}
    sensible = {parse for parse in options if all(parser.makes_sense(r) for r in parse)}
    chosen = sensible or options
    fewest = min((len(parse) for parse in chosen), default=0)
    return ReadingParse(tuple(sorted((p for p in chosen if len(p) == fewest), key=repr)))


class _Parser:
    """Tries every split of the words into places, numbers and links."""

    def __init__(
        self, heard: Understanding, finders: dict[str, Finder], lexicon: Lexicon, kind_of: KindOf, unit: str
    ) -> None:
        self.words = heard.words
        self.unit = unit
        self.finders = finders
        self.kind_of = kind_of
        self.links = lexicon.links
        self.notes = {
            s.start: s.end for s in sorted(heard.concepts, key=lambda s: s.end) if s.value.startswith("note_")
        }
        self.units = {
            s.start: s for s in sorted(heard.concepts, key=lambda s: s.end) if s.value in UNIT_KINDS
        }
        self.aspects = {
            s.start: s for s in sorted(heard.concepts, key=lambda s: s.end) if s.value.startswith("measured_")
        }

    def makes_sense(self, reading: Reading) -> bool:
        """True when the number is plausible for its place; a food's temperature always is below 600."""
        if reading.subject_kind == "food":
            return -60 <= reading.value <= 600
        return plausible(self.kind_of(reading.subject), reading.quantity, reading.value, reading.unit == "C")

    def parse(self, at: int) -> Iterator[tuple[Reading, ...]]:
        at = self._skip_links(at)
        if at >= len(self.words):
            yield ()
            return
        for reading, end in self._one(at):
            for rest in self.parse(end):
                yield (reading, *rest)

    def _skip_links(self, at: int) -> int:
        while at < len(self.words) and (at in self.notes or self.words[at] in self.links):
            at = self.notes.get(at, at + 1)
        return at

    def _names(self, at: int) -> list[Span]:
        places = self.finders["equipment"].at(self.words, at)
        longest = max((span.end for span in places), default=at)
        return places + [span for span in self.finders["food"].at(self.words, at)[:1] if span.end > longest]

    def _one(self, at: int) -> Iterator[tuple[Reading, int]]:
        for name in self._names(at):
            yield from self._after_name(name)
        for end, value, quantity, unit in self._number(at):
            here = self._skip_links(end)
            if PREPOSITIONS & set(self.words[end:here]):
                for name in self.finders["equipment"].at(self.words, here) if here < len(self.words) else ():
                    yield from self._reading([name], "", value, quantity, unit, name.end)

    def _after_name(self, name: Span) -> Iterator[tuple[Reading, int]]:
        names, measured, at = [name], "", self._skip_links(name.end)
        while at < len(self.words):
            if at in self.aspects:
                measured, at = (
                    self.aspects[at].value.removeprefix("measured_"),
                    self._skip_links(self.aspects[at].end),
                )
            elif len(names) == 1 and (more := self._names(at)) and more[0].kind != name.kind:
                names, at = [name, more[0]], self._skip_links(more[0].end)
            else:
                break
        for end, value, quantity, unit in self._number(at):
            stop, aspect, refined = self._after_number(end, names)
            yield from self._reading(refined, measured or aspect, value, quantity, unit, stop)
            if stop != end and refined != names:
                yield from self._reading(names, measured, value, quantity, unit, end)

    def _after_number(self, end: int, names: list[Span]) -> tuple[int, str, list[Span]]:
        """Read what may trail a number: "in the meat", or the place with its number ("bucket three")."""
        at = self._skip_links(end)
        if at in self.aspects:
            return self.aspects[at].end, self.aspects[at].value.removeprefix("measured_"), names
        for span in self.finders["equipment"].at(self.words, at) if at < len(self.words) else ():
            if names[0].kind == "equipment" and span.value.startswith(f"{names[0].value} "):
                return span.end, "", [span, *names[1:]]
        return end, "", names

    def _number(self, at: int) -> Iterator[tuple[int, Decimal, str, str]]:
        for end, options in numbers.numbers_from(self.words, at):
            if end < len(self.words) and numbers.is_number_word(self.words[end]):
                continue  # a number is never cut in two
            unit = self.units.get(end)
            stop, kind, name = end, "", ""
            while unit is not None:
                kind, found = UNIT_KINDS[unit.value]
                name, stop = found or name, unit.end
                unit = self.units.get(stop)
            if kind in ("", "temperature", "ppm"):
                for value in options:
                    yield stop, value, kind, name

    def _reading(
        self, names: list[Span], measured: str, value: Decimal, quantity: str, unit: str, end: int
    ) -> Iterator[tuple[Reading, int]]:
        places = [n for n in names if n.kind == "equipment"]
        foods = [n for n in names if n.kind == "food"]
        if foods:
            place = places[0].value if places else ""
            if quantity in ("", "temperature"):
                yield (
                    Reading(
                        foods[0].value,
                        "food",
                        value,
                        "temperature",
                        unit or self.unit,
                        measured or "food",
                        place,
                    ),
                    end,
                )
            return
        kind = self.kind_of(places[0].value)
        ranges = equipment_kinds().get(kind, {})
        quantities: list[str] = [q for q in ("ppm", "temperature") if q in ranges]
        if quantity:
            quantities = [quantity] if quantity in ranges else []
        elif measured:
            quantities = [q for q in quantities if q == "temperature"]
        else:
            quantities = quantities[:1]
        for each in quantities:
            said = (unit or self.unit) if each == "temperature" else unit
            yield Reading(places[0].value, "equipment", value, each, said, measured, ""), end
