"""Finds the runs of words that say a quantity, and every way to hear each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from intents.quantities.forms import Words
from intents.quantities.grammar import grammar
from intents.quantities.meanings import Clock, Day, Mark, Meaning, Moment, Number, Ordinal, Quantity, Span
from intents.quantities.readers import Reader

_MOST_TOLD = 12
"""So many minutes or hours at most are told as "three, four" (judgement)."""
MOST_WAYS = 40
"""At most so many ways to cut one run are kept, those of the fewest parts."""
Chart = dict[int, dict[int, list[Meaning]]]
"""start -> end -> what these words mean."""
Way = tuple[tuple[int, int], ...]
"""Quantities in a row: the start and end of each."""
Steps = dict[int, tuple[int, ...]]
"""A place between words -> the next places."""


@lru_cache(maxsize=256)
def quantities(
    words: Words, language: str = "en", breaks: frozenset[int] = frozenset()
) -> tuple[Quantity, ...]:
    """Return the quantities that ``words`` say, in order; runs do not overlap.

    Before the words at ``breaks`` a comma stands, and no number goes over it.
    Raises ``ModuleNotFoundError`` for a language that does not exist.
    """
    reader = Reader(words, grammar(language), breaks)
    chart = _chart(reader, breaks)
    found: list[Quantity] = []
    for start, end in _runs(chart, reader):
        after = found[-1].end if found else 0
        found.append(_quantity(chart, reader, start, end, after))
    behind = (*found, None)[1:]
    return tuple(_parted(one, other, reader, breaks) for one, other in zip(found, behind, strict=True))


def _parted(one: Quantity, other: Quantity | None, reader: Reader, breaks: frozenset[int]) -> Quantity:
    """Return the three of "three, four minutes" as minutes alone; no reading is told so close before."""
    span, told = other.first(Span) if other is not None else None, one.first(Number)
    if other is None or span is None or told is None or told.unit or one.marker == "at":
        return one
    counts = [v for _, values in reader.numbers_from(other.start)[-1:] for v in values]
    few = one.end == other.start and one.end in breaks and len(counts) == len(told.values) == 1
    if not few or not 0 < told.values[0] < counts[0] <= _MOST_TOLD:
        return one
    minutes = Fraction(told.values[0]) * span.minutes[0] / Fraction(counts[0])
    return replace(one, meanings=(Span((minutes,)),), splits=(), parted=True)


def _chart(reader: Reader, breaks: frozenset[int]) -> Chart:
    chart: Chart = {}
    for at in filter(reader.may_begin, range(len(reader.words))):
        for end, meaning in (*_numbers(reader, at), *_ordinals(reader, at), *_times(reader, at)):
            one = isinstance(meaning, Number | Ordinal | Clock)
            if one and not breaks.isdisjoint(range(at + 1, end)):
                continue
            here = chart.setdefault(at, {}).setdefault(end, [])
            if meaning not in here:
                here.append(meaning)
    for ends in chart.values():
        for meanings in ends.values():
            meanings.sort(key=_likelihood)
    return chart


def _likelihood(meaning: Meaning) -> int:
    match meaning:
        case Moment() | Day():
            return 0
        case Clock(worded=True) | Span():
            return 1
        case Number():
            return 2
        case Clock():
            return 3
    return 4


def _times(reader: Reader, at: int) -> Iterator[tuple[int, Meaning]]:
    for layer in ("moment", "day", "clock", "span"):
        for end, meaning in reader.read(layer, at):
            if isinstance(meaning, Moment | Day | Clock | Span):
                yield end, meaning


def _numbers(reader: Reader, at: int) -> Iterator[tuple[int, Meaning]]:
    """Numbers with the unit behind them; where a unit of time follows, a span says it."""
    words, parts = reader.words, reader.grammar
    for end, values in _values(reader, at):
        units = list(_units(reader, end))
        for stop, (kind, unit) in units:
            yield stop, Number(values, kind, unit)
            for last, more in parts.extras.at(words, stop):
                yield last, Number(tuple(v + _decimal(more) for v in values), kind, unit)
        if not units and not reader.read("unit", end):
            yield end, Number(values)
    for end, amount in parts.amounts.at(words, at):
        for stop, (kind, unit) in parts.units.at(words, end):
            if kind != "count" or amount != 1:
                yield stop, Number((_decimal(amount),), kind, unit)


def _values(reader: Reader, at: int) -> Iterator[tuple[int, tuple[Decimal, ...]]]:
    for end, values in reader.numbers_from(at):
        yield end, tuple(sorted(values, reverse=True))
    for end, value in reader.fractions(at):
        yield end, (_decimal(value),)


def _decimal(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / Decimal(value.denominator)


def _units(reader: Reader, end: int) -> Iterator[tuple[int, tuple[str, str]]]:
    words, parts = reader.words, reader.grammar
    if end in reader.breaks:
        return  # "larder forty, pieces in the top"
    yield from parts.units.at(words, end)
    if end < len(words) and words[end] in parts.numbers.OF:
        yield from parts.units.at(words, end + 1)


def _ordinals(reader: Reader, at: int) -> Iterator[tuple[int, Meaning]]:
    articles = {stop for stop, mark in reader.grammar.marks.at(reader.words, at) if mark is None}
    for start in (at, *articles):
        for end, value in reader.read("ordinal", start) if start < len(reader.words) else ():
            if isinstance(value, int):
                yield end, Ordinal((value,))
    noun = reader.grammar.nouns.until(reader.words, at)
    for end, values in reader.numbers_from(at) if noun else ():
        places = tuple(sorted((int(v) for v in values if v == int(v) and v >= 0), reverse=True))
        if places and noun:
            yield end, Ordinal(places, noun[1])


def _runs(chart: Chart, reader: Reader) -> Iterator[tuple[int, int]]:
    """Stretches of words that hang together: cut where every way to hear them is cut."""
    for start, end in _components(chart):
        steps = _steps(chart, reader, start, end)
        crossed = {place for at, stops in steps.items() for stop in stops for place in range(at + 1, stop)}
        cuts = [place for place in range(start, end + 1) if place not in crossed]
        for low, high in pairwise(cuts):
            if any(stop in chart.get(at, ()) for at in range(low, high) for stop in steps.get(at, ())):
                yield low, high


def _components(chart: Chart) -> Iterator[tuple[int, int]]:
    low, high = -1, -1
    for start in sorted(chart):
        if start >= high:
            if high > low:
                yield low, high
            low, high = start, max(chart[start])
        high = max(high, *chart[start])
    if high > low:
        yield low, high


def _steps(chart: Chart, reader: Reader, start: int, end: int) -> Steps:
    """Return the steps that belong to a way through all words of the stretch.

    A step hears a quantity or passes over a word that may stand between two. If there is no way so, any
    word may be passed over.
    """

    def ahead(at: int, loose: bool) -> set[int]:
        heard = {stop for stop in chart.get(at, {}) if stop <= end}
        return heard | {at + 1} if loose or _passable(chart, reader, at) else heard

    places = range(start, end)
    return _through({at: ahead(at, False) for at in places}, start, end) or _through(
        {at: ahead(at, True) for at in places}, start, end
    )


def _through(ahead: dict[int, set[int]], start: int, end: int) -> Steps:
    """Return only the steps that lie on a way from ``start`` to ``end``; empty if there is none."""
    arriving = {end}
    for at in range(end - 1, start - 1, -1):
        if ahead[at] & arriving:
            arriving.add(at)
    reached, steps = {start}, {}
    for at in sorted(arriving - {end}):
        if at in reached:
            steps[at] = tuple(sorted(ahead[at] & arriving))
            reached.update(steps[at])
    return steps


def _passable(chart: Chart, reader: Reader, at: int) -> bool:
    word = reader.words[at]
    return word in reader.grammar.joins or (word in reader.grammar.articles and at not in chart)


def _quantity(chart: Chart, reader: Reader, start: int, end: int, after: int) -> Quantity:
    """Return the quantity of a run, without words at its edges that the simplest way only passes over."""
    ways = _ways(chart, _steps(chart, reader, start, end), start, end)
    if end not in chart.get(start, {}) and len(ways[0]) == 1:
        start, end = ways[0][0]
        ways = tuple(w for w in ways[1:] if start <= w[0][0] and w[-1][1] <= end)
    return Quantity(
        start,
        end,
        tuple(chart.get(start, {}).get(end, ())),
        tuple(_split(chart, reader, way, after) for way in ways),
        tuple(_marks(reader, start, end, after)),
    )


def _ways(chart: Chart, steps: Steps, start: int, end: int) -> tuple[Way, ...]:
    """Return the ways to cut the words into quantities, fewest first, but not the whole in one."""
    found: list[Way] = []
    begun: list[tuple[int, Way]] = [(start, ())]
    while begun and len(found) < MOST_WAYS:
        longer: list[tuple[int, Way]] = []
        for at, way in begun:
            for stop in reversed(steps.get(at, ())):
                grown = (*way, (at, stop)) if stop in chart.get(at, {}) else way
                if stop < end:
                    longer.append((stop, grown))
                elif grown and grown != ((start, end),):
                    found.append(grown)
        begun = sorted(longer, key=lambda each: len(each[1]))[: 4 * MOST_WAYS]
    return tuple(dict.fromkeys(sorted(found, key=len)))[:MOST_WAYS]


def _split(chart: Chart, reader: Reader, way: Way, after: int) -> tuple[Quantity, ...]:
    parts: list[Quantity] = []
    for start, end in way:
        marks = tuple(_marks(reader, start, end, after))
        parts.append(Quantity(start, end, tuple(chart[start][end]), (), marks))
        after = end
    return tuple(parts)


def _marks(reader: Reader, start: int, end: int, after: int) -> Iterator[Mark]:
    """Return the marks before a run, not reaching back beyond ``after``, and those inside and behind it."""
    before = [m for m in reader.marks_before(start) if m[2] >= after]
    yield from (Mark(name, low, high, hedge) for name, hedge, low, high in reversed(before))
    for at in range(start + 1, end):  # "yesterday at about two"
        for stop, mark in reader.grammar.marks.at(reader.words, at):
            if mark is not None and mark[1] and stop < end:
                yield Mark(mark[0], at, stop, True)
    for at in range(start + 1, end + 1):  # "an hour or so ago"
        for stop, (name, hedge) in list(reader.grammar.marks_after.at(reader.words, at))[:1]:
            yield Mark(name, at, stop, hedge)
    if reader.is_glued(end - 1):
        yield Mark("about", end - 1, end, True)
