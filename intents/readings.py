"""Reads spoken readings: equipment (or food) first, then one number, several in a breath.

"quat bucket two hundred, walk-in thirty eight". Every word has to be explained, or nothing is read.
Where two ways make sense ("bucket two fifty": bucket 2 at 50, or the bucket at 250) both are returned.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import partial

from intents.digits import spelled_out
from intents.equipment_kinds import (
    equipment_kinds,
    food_reads,
    holds_food,
    may_be_degrees,
    no_block,
    plausible,
    readable,
    unit_meant,
)  # fmt: skip
from intents.language import language
from intents.lexicon import Finder, Lexicon, Span
from intents.mentions import UNIT_KINDS, Understanding
from intents.names_heard import begins_place
from intents.plain_numbers import only_unit, plain_numbers
from intents.ranges import label_range, range_at
from intents.remarks import remarks
from intents.second_thoughts import last_start, slip
from intents.siblings import in_one, of_a_list, of_another_clause, sibling_number
from intents.tools import tools


@dataclass(frozen=True, slots=True)
class Reading:
    """One value said of one place or food. ``quantity`` is temperature or ppm; ``unit`` empty if unsaid.

    ``measured``: wash, rinse, final rinse or surface. ``quantity`` may be ph. ``bound``: from ``value`` on.
    """

    subject: str
    subject_kind: str  # equipment or food
    value: Decimal
    quantity: str
    unit: str
    measured: str = ""
    place: str = ""
    bound: str = ""  # over, under or between, when a strip showed no one number
    upper: Decimal | None = None  # the upper end of ``between``
    label: tuple[Decimal, Decimal] | None = None  # the label's ppm when it was read aloud
    held_s: Decimal | None = None  # for how many seconds a food stayed at ``value``, when that was said
    kept: bool = False  # told of food that cools or is held hot, which of them is not known
    displayed: bool = False  # told of food that is shown or sold from, cold or hot
    frozen_solid: bool | None = None  # how the food in a freezer feels, if that was said
    batch: int = 0  # the entry that began the batch it is of, where several of the food are cooling
    said_at: str = ""  # when it was read, ISO 8601 with offset, if that was said and is not now


@dataclass(frozen=True, slots=True)
class ReadingParse:
    """All ways that the whole utterance reads as readings: none, one, or several that must be asked."""

    options: tuple[tuple[Reading, ...], ...] = ()

    @property
    def certain(self) -> tuple[Reading, ...]:
        """The readings when there is exactly one way; otherwise empty."""
        return self.options[0] if len(self.options) == 1 else ()


LEAST_BARE = Decimal(25)
"""A smaller number of food that is not frozen, without "degrees", is no Fahrenheit temperature."""
KindOf = Callable[[str], str]


class ReadingParser:
    """Tries every split of the words into places, numbers and links."""

    def __init__(
        self,
        heard: Understanding,
        finders: dict[str, Finder],
        lexicon: Lexicon,
        kind_of: KindOf,
        unit: str,
        short: Finder | None = None,
        tools_used: dict[int, int] | None = None,
    ) -> None:
        self.short = short
        self.heard, self.words = heard, heard.words
        self.foods = heard.names.get("food", ())  # with the words that qualify them ("raw chicken")
        self.known = {i for s in (*heard.names["person"], *heard.concepts) for i in range(s.start, s.end)}
        self.things = {i for s in heard.concepts if s.value == "not_food" for i in range(s.start, s.end)}
        self.unit, self.told = unit, only_unit(heard)
        self.finders = finders
        self.kind_of = kind_of
        self.links = lexicon.links
        self.numbers = language(lexicon.language).numbers
        self.lexicon = lexicon
        label = label_range(heard.words, lexicon)
        self.label_ends = (label.low, label.high) if label is not None else None
        concepts = sorted(heard.concepts, key=lambda s: s.end)
        self.bounds = {s.start: s for s in concepts if s.value.startswith("bound_")}
        self.strips = {i for s in heard.concepts if s.value == "strip_word" for i in range(s.start, s.end)}
        self.papers = {s.start for s in heard.concepts if s.value in ("chlorine_strip", "quat_strip")}
        self.tools = tools(heard, kind_of, lexicon) if tools_used is None else tools_used
        self.notes = remarks(heard) | self.tools
        if label is not None:
            self.notes[label.start] = label.end
        self.units = {s.start: s for s in concepts if s.value in UNIT_KINDS}
        aspects = (s for s in concepts if s.value.startswith("measured_"))
        at = finders["equipment"].at  # no "wash" in "wash compartment"
        self.aspects = {
            s.start: s for s in aspects if not any(n.end > s.end for n in at(self.words, s.start))
        }

    def ways(self) -> tuple[set[tuple[Reading, ...]], set[tuple[Reading, ...]]]:
        """Return the ways in which every number makes sense for its place, and all ways."""
        options = {p for p in self.parse(0) if p and all(readable(r.quantity, r.value) for r in p)}
        options = {p for p in options if all(r.subject_kind != "food" or self.makes_sense(r) for r in p)}
        options = {p for p in options if len(p) == 1 or not any(no_block(r.quantity, r.value) for r in p)}
        return {parse for parse in options if all(map(self.makes_sense, parse))}, options

    def _places(self, at: int) -> list[Span]:
        return self.finders["equipment"].at(self.words, at) + self.in_short(at)

    def in_short(self, at: int) -> list[Span]:
        """Return the places that a word may name in short; no "fish one" in "fish one forty five"."""
        lexicon, words = self.lexicon, self.words
        found = self.short.at(words, at) if self.short is not None else []
        full = max((s.end for s in self.finders["equipment"].at(words, at)), default=at)
        found = [s for s in found if all(map(self.number_begins, range(s.end, full)))]
        short = [s for s in found if not (lexicon.says_nothing(words, s) or lexicon.of_another(words, s))]
        ones, told = lexicon.list("batch_one"), {*words[at - 1 : at]} & lexicon.list("deed_articles")
        runs = {s.end for s in short if self.number_begins(s.end)} - self.heard.breaks
        return [s for s in short if words[s.end - 1] not in ones or told or s.end not in runs]

    def makes_sense(self, reading: Reading) -> bool:
        """True when the number is plausible for its place or at all for a food."""
        if reading.subject_kind == "food":
            return food_reads(reading.value, reading.unit, reading.measured)
        return plausible(self.kind_of(reading.subject), reading.quantity, reading.value, reading.unit == "C")

    def parse(self, at: int) -> Iterator[tuple[Reading, ...]]:
        if at == 0 and (opening := self.lexicon.opening(self.words)):
            yield from self._from(opening)
            if not self._places(0):
                return  # "well's at one forty", of the chowder well
        yield from self._from(at)

    def _from(self, at: int) -> Iterator[tuple[Reading, ...]]:
        at = self._skip_links(at)
        if at >= len(self.words):
            yield ()
            return
        for reading, end in self._one(at):
            yield from self._onward((reading,), end)

    def _onward(self, read: tuple[Reading, ...], end: int) -> Iterator[tuple[Reading, ...]]:
        """Read on after ``read``: other places, or first more of the same place."""
        for rest in self.parse(end):
            yield (*read, *rest)
        for more, stop in self._second(read, end):
            yield from self._onward((*read, more), stop)
        for more, stop in self._sibling(read, end):
            yield from self._onward((*read, more), stop)

    def _sibling(self, read: tuple[Reading, ...], end: int) -> Iterator[tuple[Reading, int]]:
        """Read "low-boy one is thirty six, two thirty seven": the next of the same numbered place."""
        family, _, numbered = read[-1].subject.rpartition(" ")
        at = self._skip_links(end)
        place = f"{family} {sibling_number(self.heard, at, self.lexicon) or ''}"
        known = numbered.isdigit() and place in self.finders["equipment"].values
        if not known or place in {r.subject for r in read}:
            return
        for stop, value, quantity, unit in self.number_at(self._skip_links(at + 1)):
            joined = in_one(self.heard, at, stop)  # "one fifty" of a bucket
            can = partial(plausible, self.kind_of(place))
            ways = self.reading_of([Span("equipment", place, at, at + 1)], "", value, quantity, unit, stop)
            yield from (w for w in ways if not any(can(w[0].quantity, v, unit == "C") for v in joined))

    def _second(self, read: tuple[Reading, ...], end: int) -> Iterator[tuple[Reading, int]]:
        """Read another quantity of the same place: "at seventy two degrees", "ph eight"."""
        first, taken = read[0], {reading.quantity for reading in read}
        ranges = equipment_kinds().get(self.kind_of(first.subject), {})
        if first.subject_kind != "equipment" or not {"ppm", "temperature"} <= set(ranges):
            return
        at = self._skip_links(end)
        aspect = self.aspects.get(at)
        kind = aspect.value.removeprefix("measured_") if aspect is not None else ""
        if aspect is not None and kind not in ("water", "ph"):
            return
        here = self._skip_links(aspect.end) if aspect is not None else at
        after_at = at > 0 and self.words[at - 1] in self.lexicon.list("at")
        for stop, value, quantity, unit in self.number_at(here):
            wanted = "ph" if kind == "ph" else quantity or ("temperature" if kind or after_at else "")
            if wanted in ranges and wanted not in taken and not (kind == "ph" and quantity):
                said = "pH" if wanted == "ph" else (unit or self.unit) if wanted == "temperature" else unit
                yield Reading(first.subject, "equipment", value, wanted, said), stop

    def _skip_links(self, at: int) -> int:
        while at < len(self.words) and (at in self.notes or self.words[at] in self.links):
            if at not in self.notes and (
                (self.words[at] == "a" and any(self.number_at(at))) or self._opens_with_name(at)
            ):
                break  # the "a" of "a hundred and ten", "pulled pork", "back cooler"
            at = self.notes.get(at, at + 1)
        return at

    def _skip_words(self, at: int) -> int:
        """Skip small words only: "on the quat" may be the place that was meant, no remark."""
        while at < len(self.words) and self.words[at] in self.links:
            at += 1
        return at

    def _opens_with_name(self, at: int) -> bool:
        names = (*self.foods, *(self._places(at) if at == 0 else ()))
        return at == 0 and any(span.start == 0 and span.end > 1 for span in names)

    def number_begins(self, at: int) -> bool:
        """True when a word can be part of a number and of no name."""
        return at < len(self.words) and self.numbers.is_number_word(self.words[at])

    def names_at(self, at: int) -> list[Span]:
        """Return the places and the food named from ``at`` on, every length of a name."""
        if at in self.papers:
            return []  # "quat strip" names a paper, not the bucket
        longest = max((span.end for span in self.finders["equipment"].at(self.words, at)), default=at)
        if at in self.aspects and self.aspects[at].value.endswith("water"):
            longest = max(longest, self.aspects[at].end)  # water is what was measured, no food
        found = [] if at in self.things else self.finders["food"].at(self.words, at)[:1]
        foods = [s for s in self.foods if s.start == at] or found
        inside = [n for i in range(at + 1, foods[0].end if foods else at) for n in self._places(i)]
        foods = [f for f in foods if not any(begins_place(f, n, self.words, self.links) for n in inside)]
        return self._places(at) + [span for span in foods if span.end > longest]

    def _one(self, at: int) -> Iterator[tuple[Reading, int]]:
        for name in self.names_at(at):
            yield from self._after_name(name)
        if at in self.aspects and (there := self._skip_links(self.aspects[at].end)) < len(self.words):
            for name in self._places(there):
                yield from self._after_name(name, self.aspects[at].value.removeprefix("measured_"))
        before, begin = self._aspect_before(at)
        for end, value, quantity, unit in self.number_at(begin):
            for here in {self._skip_links(end), self._skip_words(end)}:
                led = self.lexicon.list("prepositions") & {*self.words[end:here]}
                if not led or here >= len(self.words):
                    continue
                full, guests = self.finders["equipment"].at, led & self.lexicon.list("held_for")
                places = full(self.words, here) if guests else self._places(here)  # "forty for downstairs"
                for name in places:
                    measured, stop = self._aspect_after(name.end)
                    yield from self.reading_of([name], measured or before, value, quantity, unit, stop)
                longest = max((name.end for name in places), default=here)
                foods = self.finders["food"].at(self.words, here)[:1]
                for food in (food for food in foods if food.end >= longest):  # no dessert in "dessert cooler"
                    there = self._skip_links(food.end)
                    for name in full(self.words, there) if there < len(self.words) else ():
                        yield from self.reading_of([food, name], "", value, quantity, unit, name.end)

    def _aspect_before(self, at: int) -> tuple[str, int]:
        """Read what was measured, said first: "rinse temp one sixty on the dish machine"."""
        if at not in self.aspects:
            return "", at
        return self.aspects[at].value.removeprefix("measured_"), self._skip_links(self.aspects[at].end)

    def _aspect_after(self, at: int) -> tuple[str, int]:
        """Read what was measured, said last: "one seventy one on the third sink, just hot water"."""
        here = self._skip_links(at)
        if here not in self.aspects:
            return "", at
        return self.aspects[here].value.removeprefix("measured_"), self.aspects[here].end

    def _after_name(self, name: Span, measured: str = "") -> Iterator[tuple[Reading, int]]:
        names, at = [name], self._skip_links(name.end)
        yield from self._bounded(name, at)
        while at < len(self.words):
            if at in self.aspects:
                what = self.aspects[at]
                measured, at = what.value.removeprefix("measured_"), self._skip_links(what.end)
            elif len(names) == 1 and (more := self.names_at(at)) and self._goes_with(more[0], name):
                names, at = [name, more[0]], self._skip_links(more[0].end)
            elif len(names) == 1 and more and more[0].value.startswith(f"{name.value} "):
                names, at = [more[0]], self._skip_links(more[0].end)  # "quat in bucket four"
            else:
                break
        for end, value, quantity, unit in self.number_at(at):
            own = len(names) == 1 and self._own_number(name, end)
            own = own or of_a_list(self.words, names[-1].end, at, self.lexicon)
            if own or self._tells_of_orders(names[-1].end, at):
                continue
            stop, aspect, refined = self._after_number(end, names)
            yield from self.reading_of(refined, measured or aspect, value, quantity, unit, stop)
            if stop != end:
                yield from self.reading_of(names, measured, value, quantity, unit, end)

    def _goes_with(self, second: Span, first: Span) -> bool:
        """True for a food and its place; not for the eggs of "refri de huevos", a longer name of a place."""
        longer = self.finders["equipment"].at(self.words, first.start)
        own = of_another_clause(self.heard, first, second, self._skip_links(second.end))
        return second.kind != first.kind and not (own or any(second.end <= name.end for name in longer))

    def _tells_of_orders(self, after_name: int, at: int) -> bool:
        """True for "soup for two", "chicken in twenty", "salmon to forty one": guests, minutes, a table."""
        before = self.words[at - 1] if at > after_name else ""
        lists = ("not_between_name_and_reading",) if at == after_name + 1 else ()
        return any(before in self.lexicon.list(name) for name in (*lists, "not_before_reading"))

    def _of_food(self, food: str, place: str, value: Decimal) -> bool:
        """False for a bare small number said of food: a table, a count or minutes, no degrees."""
        frozen = "frozen" in food or self.kind_of(place) == "freezer"
        return self.unit != "F" or frozen or not 0 <= value < LEAST_BARE

    def _own_number(self, name: Span, end: int) -> bool:
        """True when the words to ``end`` are only the place with its own number ("bucket two")."""
        longer = (span for span in self.finders[name.kind].at(self.words, name.start) if span.end == end)
        return any(span.end > name.end for span in longer)

    def _bounded(self, name: Span, at: int) -> Iterator[tuple[Reading, int]]:
        """Read a strip that shows no one number: "darker than two hundred", "between fifty and a hundred"."""
        kind = self._with_strips(name.value, at) if name.kind == "equipment" else ""
        if at not in self.bounds or not kind:
            return
        bound, start = self.bounds[at].value.removeprefix("bound_"), self._skip_links(self.bounds[at].end)
        if bound == "between":
            if (span := range_at(self.words, start, self.lexicon.language)) is not None:
                unit = self.units.get(span.end)
                yield self._ppm(kind, span.low, bound, span.high), unit.end if unit else span.end
            return
        for end, value, quantity, _ in self.number_at(start):
            if quantity in ("", "ppm"):
                yield self._ppm(kind, value, bound, None), end

    def _ppm(self, place: str, value: Decimal, bound: str, upper: Decimal | None) -> Reading:
        return Reading(place, "equipment", value, "ppm", "ppm", "", "", bound, upper, self.label_ends)

    def _with_strips(self, place: str, at: int) -> str:
        """Return the place, or the only one of its family, at which a strip is read; empty without one."""
        kind = equipment_kinds().get(self.kind_of(place), {})
        if "ppm" in kind:
            return place
        places = self.finders["equipment"].values
        others = {each for each in places if self.kind_of(each) == kind.get("strip_read_at")}
        return others.pop() if len(others) == 1 else ""

    def _after_number(self, end: int, names: list[Span]) -> tuple[int, str, list[Span]]:
        """Read what may trail a number: "in the meat", the place, or its number ("bucket three")."""
        at = self._skip_links(end)
        if at in self.aspects:
            return self.aspects[at].end, self.aspects[at].value.removeprefix("measured_"), names
        for span in self.finders["equipment"].at(self.words, at) if at < len(self.words) else ():
            if names[0].kind == "equipment" and span.value.startswith(f"{names[0].value} "):
                return span.end, "", [span, *names[1:]]
            if len(names) == 1 and names[0].kind == "food":
                return span.end, "", [names[0], span]  # "gravy is one forty on the steam table"
        return end, "", names

    def number_at(self, at: int) -> Iterator[tuple[int, Decimal, str, str]]:
        """Give end, value, quantity, unit of the number at ``at``; the last wins where it was said again."""
        at = last_start(self.words, at, self.numbers, self.lexicon.list("second_thought"))
        yield from plain_numbers(self.heard, at, self.units, self.lexicon)
        if (again := slip(self.words, at, self.numbers)) is not None:
            yield from plain_numbers(self.heard, again, self.units, self.lexicon)

    def reading_of(
        self, names: list[Span], measured: str, value: Decimal, quantity: str, unit: str, end: int
    ) -> Iterator[tuple[Reading, int]]:
        """Give the readings of one number: of the food among ``names``, else of the place; with ``end``."""
        places = [n for n in names if n.kind == "equipment"]
        may_hold = all(holds_food(self.kind_of(place.value)) for place in places)
        foods = [n for n in names if n.kind == "food" and may_hold]
        if foods:
            place = places[0].value if places else ""
            if quantity == "temperature" or (not quantity and self._of_food(foods[0].value, place, value)):
                name, said = foods[0].value, unit or unit_meant("", value, self.told, self.unit)
                yield Reading(name, "food", value, "temperature", said, measured or "food", place), end
            return
        place, kind = places[0].value, self.kind_of(places[0].value)
        ranges = equipment_kinds().get(kind, {})
        quantities: list[str] = [q for q in ("ppm", "temperature") if q in ranges]
        strip = self.strips & {0, *range(places[0].end, end)}
        quantity = "ppm" if not quantity and strip else quantity
        if quantity == "ppm" and "ppm" not in ranges and (other := self._with_strips(place, end)):
            place, ranges = other, equipment_kinds().get(self.kind_of(other), {})
        if quantity:
            quantities = [quantity] if quantity in ranges else []
        elif measured:
            quantities = [q for q in quantities if q == "temperature"]
        else:
            quantities = quantities[: 2 if may_be_degrees(kind, value) else 1]
        for each in quantities:
            own = unit_meant(kind, value, self.told, self.unit) if each == "temperature" else ""
            said, label = unit or own, self.label_ends if each == "ppm" else None
            value = spelled_out(kind, value, said, self.words[:end], self.numbers)
            yield Reading(place, "equipment", value, each, said, measured, label=label), end
