"""Several temperatures of one thing, each with its time: "soup was 135 at noon, now it's 80"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import islice, pairwise, product

from intents.language import language
from intents.lexicon import Lexicon, Span
from intents.mentions import HOTTEST, Measure, Understanding
from intents.quantities import Clock, Moment, Number, Quantity
from intents.quantities import Span as Lasting

MOST_WAYS, _HUNDRED = 512, 100
_LONGEST = 24 * 60
"""So many minutes no food cools (judgement)."""
_AS_TIME, _AS_DEGREES, _OPEN, _LOOSE, _CUT, _START, _PRESENT, _NO_POT = 1.5, 2.0, 0.5, 1.5, 0.4, 0.2, 0.6, 3.0
"""What it costs to hear a number of nothing as a time, one behind "at" as degrees, to leave a temperature
or a time alone, to cut words, to take a time for the start or the present alone,
and degrees of no pot (judgement)."""
_SINCE = ("since", "from")
_NOON, _DAWN = 12, 4
"""Hours of the day: at night "two" is after midnight, "nine" before it (judgement)."""
_BEFORE = ("at", *_SINCE, "about", "before", "after", "by")


@dataclass(frozen=True, slots=True)
class Timed:
    """A temperature and when it was: a clock time, a duration, or the present where neither is said.

    ``after`` tells that the duration ran from the first reading ("after two hours"), not back from now.
    """

    measure: Measure
    clock: str = ""
    spent: Measure | None = None
    now: bool = False
    after: bool = False

    @property
    def open(self) -> bool:
        """True while no time was said with it."""
        return not (self.clock or self.spent or self.now)


@dataclass(frozen=True, slots=True)
class _Part:
    """One way to hear a quantity, as a temperature or a time, and what it costs."""

    what: Measure | Span | None
    cost: float = 0.0


def timed_temperatures(heard: Understanding, lexicon: Lexicon) -> tuple[Timed, ...]:
    """Return the temperatures of an utterance in the order said, each with the time said beside it.

    Of all ways to hear the numbers as degrees and times it is the one in which most of them belong
    together: "sixty at one thirty at two" is sixty at one, and thirty at two.
    """
    free = {i for m in heard.free_measures for i in range(m.start, m.end)}
    gone = {i for m in heard.measures for i in range(m.start, m.end)} - free
    gone |= {i for spans in heard.names.values() for s in spans for i in range(s.start, s.end)}
    kept = (q for q in heard.quantities if not gone & {*range(q.start, q.end)})
    runs = [tuple(_ways(each, heard, lexicon)) for each in kept]
    present = [span for span in heard.concepts if span.value == "now_word"]
    found: list[tuple[float, tuple[Timed, ...]]] = []
    for way in islice(product(*runs), MOST_WAYS):
        parts = [part for run in way for part in run]
        said = [p.what for p in parts if p.what is not None]
        timed, loose = _paired([*said, *present], heard, lexicon)
        found.append((sum(p.cost for p in parts) + _CUT * (len(parts) - len(way)) + loose, timed))
    return min(found, key=lambda each: each[0], default=(0.0, ()))[1]


def _ways(quantity: Quantity, heard: Understanding, lexicon: Lexicon) -> Iterator[tuple[_Part, ...]]:
    """Give every way to cut the words of a run and to hear each piece; "ninety eight" is never cut in two."""
    values = language(heard.language).numbers.values
    clock, first = quantity.first(Clock), heard.quantities[0].start
    whole = clock is not None and clock.worded  # "ten to four"
    torn = heard.over_break(quantity.start, quantity.end) or not quantity.meanings
    as_one = () if torn and quantity.splits else ((quantity,),)
    for way in (*as_one, *(() if whole and as_one else quantity.splits)):
        plain = [
            part for part in way if part.first(Lasting) is None and (clock_of(part) or not part.all(Moment))
        ]
        cuts = [one.end for one, other in pairwise(way) if one.end == other.start and other in plain]
        if not any(value < _HUNDRED for cut in cuts for value in values(heard.words[cut - 1 : cut + 1])):
            told = ((p, heard.words[p.start - 1 : p.start], p.start == first) for p in way)
            yield from product(*(tuple(_heard(p, by, lexicon, first=one)) for p, by, one in told))


def _heard(
    part: Quantity, before: tuple[str, ...], lexicon: Lexicon, *, first: bool = False
) -> Iterator[_Part]:
    number, clock, lasting = part.first(Number), clock_of(part), part.first(Lasting)
    marked = part.marker in _BEFORE
    ago = [m.offset for m in part.all(Moment) if (m.anchor, m.day, m.clock) == ("now", None, None)]
    spans = lasting.minutes if lasting is not None else tuple(-offset for offset in ago if offset < 0)
    if spans:
        minutes = tuple(Decimal(m.numerator) / m.denominator for m in spans)
        long = _NO_POT * (min(minutes) > _LONGEST)
        yield _Part(Measure("duration", minutes, "minute", part.start, part.end), long)
    elif clock is not None and len(clock.hours) <= len("am"):
        yield _Part(
            Span("clock", clock_value(clock), part.start, part.end),
            0.0 if clock.worded or marked else _AS_TIME,
        )
        if part.marker in _SINCE or first:
            yield _Part(None, _START)
        elif {*before} & lexicon.list("present_is"):
            yield _Part(None, _PRESENT)  # "it's ten thirty five"
    if number is not None and number.kind in ("number", "temperature"):
        odd = _NO_POT * (max(number.values) > HOTTEST)
        cost = odd + (_AS_DEGREES if clock is not None and marked and part.marker != "from" else 0.0)
        yield _Part(Measure(number.kind, number.values, number.unit, part.start, part.end), cost)
    elif clock is None and not spans:
        yield _Part(None)


def clock_of(part: Quantity) -> Clock | None:
    """Return the time of day that a run tells; "nine last night" has its half of the day from it."""
    if (clock := part.first(Clock)) is not None:
        return clock
    dated = next((m for m in part.all(Moment) if m.clock is not None and m.day is not None), None)
    if dated is None or dated.clock is None or dated.day is None:
        return None
    late, night = dated.day.part in ("afternoon", "evening"), dated.day.part == "night"
    hours = dated.clock.hours
    if len(hours) > 1 and (late or night or dated.day.part == "morning"):
        hours = tuple(h for h in hours if (h >= _NOON) == (late or (night and h % _NOON >= _DAWN)))
    return Clock(hours or dated.clock.hours, dated.clock.minute, worded=True)


def clock_value(clock: Clock) -> str:
    """Return a time of day as it is kept: "14:30", or "02:30?" where its half of the day is open."""
    half = "?" if clock.open else ""
    return f"{clock.hours[0] % 12 or 12 if half else clock.hours[0]:02d}:{clock.minute:02d}{half}"


def _paired(
    told: list[Measure | Span], heard: Understanding, lexicon: Lexicon
) -> tuple[tuple[Timed, ...], float]:
    """Return the temperatures with their times, and what it costs that some have none or are of none.

    A time belongs to the temperature before it, or to the next one if that has its time already.
    """
    degrees = [m for m in told if isinstance(m, Measure) and m.kind != "duration"]
    found, loose = [Timed(m) for m in sorted(degrees, key=lambda m: m.start)], 0.0
    for time in sorted((t for t in told if t not in degrees), key=lambda each: each.start):
        before = [i for i, each in enumerate(found) if each.measure.end <= time.start and each.open]
        after = [i for i, each in enumerate(found) if each.measure.start >= time.end and each.open]
        place = _place(found, before, after, time)
        if place is None:
            loose += _LOOSE
        else:
            found[place] = _with(found[place], time, heard.words, lexicon)
    alone = sum(each.open for each in found)
    return tuple(found), loose + (_OPEN if alone == 1 else _LOOSE * alone)


def _place(found: list[Timed], before: list[int], after: list[int], time: Span | Measure) -> int | None:
    """Return which temperature a time belongs to: the one just before it, else the next."""
    nearest = max((i for i, each in enumerate(found) if each.measure.end <= time.start), default=None)
    if before and before[-1] == nearest:
        return nearest
    return after[0] if after else None


def _with(timed: Timed, time: Span | Measure, words: tuple[str, ...], lexicon: Lexicon) -> Timed:
    if isinstance(time, Measure):
        after = time.start > 0 and words[time.start - 1] in lexicon.list("after_first")
        return replace(timed, spent=time, after=after)
    return replace(timed, now=True) if time.kind == "concept" else replace(timed, clock=time.value)
