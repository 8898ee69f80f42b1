"""Marks what an utterance mentions: concepts, foods, equipment, people, measures, clock times, days."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cached_property
from types import MappingProxyType
from typing import Protocol

from intents.language import ClockGrammar, NumberGrammar, language, numbers_between
from intents.lexicon import Finder, Lexicon, Span, load_lexicon
from intents.number_roles import MayRead, OtherNumber, number_roles, reads_nothing, words_of_others
from intents.number_seams import breaks_told
from intents.quantities import Quantity, quantities
from intents.quantities import Span as Lasting
from intents.worded_times import worded_times
from intents.words import BROKEN

PLAIN_HOURS = 12
_TWO = 2
MOST_COUNTED = 60
"""More pans, cases or crates than this are not counted in a breath (judgement)."""
HOTTEST = 500
"""A bare number after "at" above this is no temperature that a cook reports: "at six thirty"."""
_COUNTED = ("weight", "volume", "duration")
READ = ("number", "temperature", "ppm", "ph")
"""Kinds of measures that are read off; minutes, pounds and pans are none."""
NOTHING: Mapping[int, str] = MappingProxyType({})
MASK = "zznamed"
"""Stands for the words of a name or time; no word that anybody says."""
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
    "unit_gram": ("weight", "gram"),
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
_AMOUNTS = frozenset(name for name, (kind, _) in UNIT_KINDS.items() if kind in _COUNTED)


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


class Stretch(Protocol):
    """Words from ``start`` to ``end``."""

    @property
    def start(self) -> int:
        """The first word."""
        ...

    @property
    def end(self) -> int:
        """The word behind the last one."""
        ...


@dataclass(frozen=True)
class Understanding:
    """An utterance with everything found in it. Nothing is decided yet."""

    text: str
    words: tuple[str, ...]
    concepts: tuple[Span, ...]
    names: dict[str, tuple[Span, ...]] = field(default_factory=dict)
    measures: tuple[Measure, ...] = ()
    clocks: tuple[Span, ...] = ()
    language: str = "en"
    may_read: MayRead = reads_nothing

    def has(self, *concepts: str) -> bool:
        """True when any of ``concepts`` is mentioned."""
        return any(span.value in concepts for span in self.concepts)

    @cached_property
    def breaks(self) -> frozenset[int]:
        """Before which words a comma stands, or a count behind a number: no number goes over it."""
        return breaks_told(self.text, self.words, self.concepts, _AMOUNTS, load_lexicon(self.language))

    def said(self, kept: Iterable[int]) -> tuple[str, ...]:
        """Return some of the words, each with the comma that stands between it and the next one."""
        order = sorted(kept)
        behind = [*order, len(self.words)][1:]
        return tuple(
            f"{self.words[i]}," if self.over_break(i, then + 1) else self.words[i]
            for i, then in zip(order, behind, strict=True)
        )

    def part(self, kept: Iterable[int], instead: Mapping[int, str] = NOTHING) -> str:
        """Return some of the words with their commas as text to read again, with others for some."""
        order = sorted(kept)
        told = ((i, word, instead.get(i)) for i, word in zip(order, self.said(order), strict=True))
        return " ".join(word if new is None else new + word[len(self.words[i]) :] for i, word, new in told)

    def masked(self, places: Collection[int]) -> tuple[str, ...]:
        """Return the words with their commas, and a word that nobody says for those at ``places``."""
        return tuple(MASK if i in places else w for i, w in enumerate(self.said(range(len(self.words)))))

    @cached_property
    def number_roles(self) -> tuple[OtherNumber, ...]:
        """The numbers that are, or may be, of something else than a reading."""
        return number_roles(self)

    @cached_property
    def quantities(self) -> tuple[Quantity, ...]:
        """The quantities said, with everything that each may be."""
        return quantities(self.words, self.language, self.breaks)

    def numbers_from(self, at: int) -> tuple[tuple[int, frozenset[Decimal]], ...]:
        """Return ``(end, values)`` of the numbers at ``at``, longest first; none goes over a comma."""
        return numbers_between(self.words, at, self.breaks, language(self.language).numbers)

    def over_break(self, start: int, end: int) -> bool:
        """True where a comma stands inside a stretch of words."""
        return any(start < each < end for each in self.breaks)

    def only(self, spans: Iterable[Stretch], small: Collection[str]) -> bool:
        """True when nothing was said but ``spans`` and ``small`` words."""
        covered = {i for span in spans for i in range(span.start, span.end)}
        return all(i in covered or word in small for i, word in enumerate(self.words))

    def spans(self, *concepts: str) -> list[Span]:
        """Return where ``concepts`` are mentioned."""
        return [span for span in self.concepts if span.value in concepts]

    @cached_property
    def free_measures(self) -> tuple[Measure, ...]:
        """The measures, without bare numbers of a name ("four door fridge") or that count ("six pans")."""
        names = [s for spans in self.names.values() for s in spans]
        return tuple(
            m
            for m in self.measures
            if m.start not in words_of_others(self, "count")
            if m.kind != "number"
            or not (any(s.start <= m.start and m.end <= s.end for s in names) or self._counts(m))
        )

    def _counts(self, number: Measure) -> bool:
        """True for the six of "six shallow pans", and of a learner's "six pan": no name right before it."""
        names = [s for spans in self.names.values() for s in spans]
        if not 1 < number.value <= MOST_COUNTED or any(s.end == number.start for s in names):
            return False
        behind = (number.end, number.end + 1)
        held = [s for s in self.concepts if s.value == "container_word" and s.start in behind]
        several = (s for s in held if self.words[s.end - 1].endswith("s") or self._ends_clause(number, s))
        between = {i for s in names for i in range(s.start, s.end)} | {m.start for m in self.measures}
        return any(not between & {*range(number.end, s.end)} for s in several)

    def _ends_clause(self, number: Measure, held: Span) -> bool:
        """True where a clause ends behind a container, or what it is in follows: no "four box two sixty"."""
        apart = self.breaks & {*range(number.end, held.end)}
        goes_on = held.end < len(self.words) and held.end not in self.breaks
        lexicon, behind = load_lexicon(self.language), {*self.words[held.end : held.end + 1]}
        leads_on = behind & lexicon.list("deed_leads_on") - lexicon.list("read_at")
        return not apart and (not goes_on or bool(leads_on))

    @cached_property
    def asks(self) -> bool:
        """True when the form asks: a question mark, or a word of asking first, after an opener."""
        if self.text.strip().endswith(("?", "？")):
            return True
        lexicon = load_lexicon(self.language)
        hesitating = lexicon.list("hesitating")
        said = next((i for i, word in enumerate(self.words) if word not in hesitating), 0)
        said += lexicon.opening(self.words[said:])
        rest = self.words[said:]  # "uh is the walk-in ok"
        if said in {mark.start for each in self.quantities for mark in each.marks if mark.hedge}:
            return False  # "como a la una" is about one o'clock and no "cómo"
        return bool(rest) and rest[0] in lexicon.list("asking") and not lexicon.politely(rest)

    @property
    def broken(self) -> bool:
        """True when a numeral could not be read as anything."""
        return BROKEN in self.words


def understand(text: str, lexicon: Lexicon, finders: dict[str, Finder]) -> Understanding:
    """Mark everything in ``text``: pure, no decision taken."""
    code = language(lexicon.language)
    words = lexicon.heard(code.numbers.written(text))
    concepts = lexicon.finder.find_all(words)
    names = {kind: finder.find_longest(words) for kind, finder in finders.items()}
    worded = worded_times(words, lexicon.language)
    breaks = breaks_told(text, words, concepts, _AMOUNTS, lexicon)
    measures = tuple(_measures(words, concepts, code.numbers, lexicon, worded, breaks))
    spans = {q.start: q.first(Lasting) for q in quantities(words, lexicon.language, breaks) if q.parted}
    measures = tuple(_lasting(m, spans.get(m.start)) for m in measures)
    clocks = _clocks(words, concepts, code.clock, breaks)
    sure = tuple(span for span in clocks if _sure_clock(span, words, concepts, measures, lexicon))
    return Understanding(
        text, words, concepts, names, _apart(measures, worded), _with(sure, worded), lexicon.language
    )


def _lasting(number: Measure, span: Lasting | None) -> Measure:
    """Return a number as minutes where it is the first of "three, four minutes"."""
    if span is None:
        return number
    minutes = tuple(Decimal(m.numerator) / m.denominator for m in span.minutes)
    return replace(number, kind="duration", options=minutes, unit="minute")


def _apart(measures: tuple[Measure, ...], times: tuple[Span, ...]) -> tuple[Measure, ...]:
    """Return the measures without those that are a part of a time."""
    return tuple(m for m in measures if not any(t.start < m.end and m.start < t.end for t in times))


def _with(clocks: tuple[Span, ...], times: tuple[Span, ...]) -> tuple[Span, ...]:
    """Return the clocks with the worded times in place of what stood where they are."""
    kept = (c for c in clocks if not any(c.overlaps(t) for t in times))
    return tuple(sorted((*kept, *(t for t in times if t.value)), key=lambda span: span.start))


def _sure_clock(
    clock: Span,
    words: tuple[str, ...],
    concepts: tuple[Span, ...],
    measures: tuple[Measure, ...],
    lexicon: Lexicon,
) -> bool:
    """False for a number that may as well be a temperature: "the gravy is at one fifty two".

    Bare numbers after "at" count as a time when something else speaks of time, when another number is
    said besides, or when they are a plain hour.
    """
    inside = [m for m in measures if m.kind == "number" and m.start == clock.start and m.end == clock.end]
    if not inside or clock.start == 0 or words[clock.start - 1] not in lexicon.list("weak_clock"):
        return True
    if any(span.value == "about_time" for span in concepts) or not PLAIN_HOURS < inside[0].value <= HOTTEST:
        return True
    return any(m.kind in ("number", "temperature") and not m.start < clock.end for m in measures) or any(
        m.kind in ("number", "temperature") and m.end <= clock.start for m in measures
    )


def _units_in(concepts: Iterable[Span]) -> Mapping[int, Span]:
    """Return the units by the word with which they begin, the longest at each place."""
    found: dict[int, Span] = {}
    for span in concepts:
        if span.value in UNIT_KINDS and (span.start not in found or span.end > found[span.start].end):
            found[span.start] = span
    return found


def _measures(
    words: tuple[str, ...],
    concepts: tuple[Span, ...],
    grammar: NumberGrammar,
    lexicon: Lexicon,
    times: tuple[Span, ...] = (),
    breaks: Collection[int] = (),
) -> list[Measure]:
    """Read the numbers from left to right; one after a time begins behind it, and none goes over a comma."""
    ends, units = {time.start: time.end for time in times}, _units_in(concepts)
    found: list[Measure] = []
    at = 0
    while at < len(words):
        if at in ends:
            at = ends[at]
            continue
        options = numbers_between(words, at, breaks, grammar)
        half = _half(words, units, at, grammar)
        half = half or _hours_and_minutes(words, units, at, grammar, lexicon)
        if half is not None:
            found.append(half)
            at = half.end
            continue
        if words[at] in grammar.ONE and (unit := units.get(at + 1)):
            kind, name = UNIT_KINDS[unit.value]
            found.append(Measure(kind, (Decimal(1),), name, at, unit.end))
            at = unit.end
            continue
        if not options or _is_pronoun(words, at, options[0][0], units, lexicon):
            at += 1
            continue
        end, meanings = options[0]
        of = next((n for n in range(end, len(words)) if words[n] not in grammar.OF), end)
        between = of <= end + _TWO and units.get(of)  # "three quarters of a pound"
        unit_span = units.get(of if between else end) if end not in breaks else None
        kind, name = UNIT_KINDS[unit_span.value] if unit_span else ("number", "")
        stop = unit_span.end if unit_span else end
        if kind == "temperature" and (more := units.get(stop)):
            more_kind, more_name = UNIT_KINDS[more.value]
            if more_kind == "temperature":
                name, stop = more_name, more.end
        thing = words[at] in lexicon.list("one_thing") and {*words[max(0, at - 1) : at]}
        if kind in _COUNTED and thing and thing & lexicon.list("thing_before_one") and end > at + 1:
            at += 1
            continue  # "the big one, sixteen pounds"
        found.append(Measure(kind, tuple(sorted(meanings, reverse=True)), name, at, stop))
        at = stop
    return found


def _hours_and_minutes(
    words: tuple[str, ...], units: Mapping[int, Span], at: int, grammar: NumberGrammar, lexicon: Lexicon
) -> Measure | None:
    """Read "an hour and twenty minutes", "two hours and a minute", "at an hour forty" at the end.

    Beside another number "after an hour fifty" is one span: "seventy two after an hour fifty" reads 72.
    """
    hours = {Decimal(1)} if words[at] in grammar.ONE else grammar.values(words[at : at + 1])
    unit = units.get(at + 1)
    if unit is None or unit.value != "unit_hour" or len(hours) != 1:
        return None
    joined = words[unit.end : unit.end + 1] in (("and",), ("y",))
    start = unit.end + joined
    one = [(start + 1, frozenset({Decimal(1)}))] if set(words[start : start + 1]) & grammar.ONE else []
    for end, minutes in (*grammar.numbers_from(words, start), *one):
        ended = units.get(end)
        told = ended is not None and ended.value == "unit_minute"
        before = words[at - 1] if at and not joined else ""
        others = (*range(at), *range(end, len(words)))
        another = any(grammar.numbers_from(words, i) for i in others)
        another = another and before in lexicon.list("surely_before_span")
        bare = another or (end == len(words) and before in lexicon.list("before_span"))
        if len(minutes) == 1 and min(minutes) in range(1, 60) and (told or bare):
            total = min(hours) * 60 + min(minutes)
            return Measure("duration", (total,), "minute", at, ended.end if ended and told else end)
    return None


def _half(
    words: tuple[str, ...], units: Mapping[int, Span], at: int, grammar: NumberGrammar
) -> Measure | None:
    """Read "an hour and a half", "two hours and a half", "half an hour", "half a gallon"."""
    for before in grammar.HALF_OF:
        unit = units.get(at + len(before))
        if words[at : at + len(before)] == before and unit is not None:
            kind, name = UNIT_KINDS[unit.value]
            return Measure(kind, (Decimal("0.5"),), name, at, unit.end)
    whole = {Decimal(1)} if words[at] in grammar.ONE else grammar.values(words[at : at + 1])
    unit = units.get(at + 1)
    if unit is None or len(whole) != 1:
        return None
    for after in grammar.AND_A_HALF:
        if words[unit.end : unit.end + len(after)] == after:
            kind, name = UNIT_KINDS[unit.value]
            return Measure(kind, (min(whole) + Decimal("0.5"),), name, at, unit.end + len(after))
    return None


def _is_pronoun(
    words: tuple[str, ...], at: int, end: int, units: Mapping[int, Span], lexicon: Lexicon
) -> bool:
    """True for a lone "one" that stands for a thing ("the cooked one")."""
    lone = " ".join(words[at:end]) in lexicon.list("one_thing") and at > 0
    lone = lone and words[at - 1] not in lexicon.list("before_number")
    return lone and units.get(end) is None


def _clocks(
    words: tuple[str, ...], concepts: tuple[Span, ...], grammar: ClockGrammar, breaks: Collection[int]
) -> list[Span]:
    """Find clock times ("2:30", "half past six", "at six thirty"); no bare one goes over a comma."""
    before = {s.end for s in concepts if s.value == "clock_before"}
    units = _units_in(concepts)

    def unit_at(place: int) -> bool:
        return place in units

    ends = [min((b for b in breaks if b > at), default=len(words)) for at in range(len(words))]
    found = ((at, grammar.clock_from(words[:end], at, at in before, unit_at)) for at, end in enumerate(ends))
    return [Span("clock", told[1], at, told[0]) for at, told in found if told is not None]
