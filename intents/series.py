"""Several temperatures of one thing, each with its time: "soup was 135 at noon, now it's 80"."""

from __future__ import annotations

from dataclasses import dataclass, replace

from intents.lexicon import Lexicon, Span
from intents.mentions import HOTTEST, PLAIN_HOURS, Measure, Understanding


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


def timed_temperatures(heard: Understanding, lexicon: Lexicon) -> tuple[Timed, ...]:
    """Return the temperatures of an utterance in the order said, each with the time said beside it.

    A time belongs to the temperature before it, or to the next one if that has its time already.
    """
    clocks = [span for span in heard.clocks if not _is_temperature(heard, span, lexicon)]
    taken = {i for span in clocks for i in range(span.start, span.end)}
    found = [
        Timed(measure)
        for measure in heard.free_measures
        if measure.kind in ("number", "temperature") and measure.start not in taken
    ]
    spent = [measure for measure in heard.free_measures if measure.kind == "duration"]
    present = [span for span in heard.concepts if span.value == "now_word"]
    times: list[Span | Measure] = [*clocks, *spent, *present]
    for time in sorted(times, key=lambda each: each.start):
        before = [i for i, each in enumerate(found) if each.measure.end <= time.start and each.open]
        after = [i for i, each in enumerate(found) if each.measure.start >= time.end and each.open]
        place = _place(found, before, after, time)
        if place is not None:
            found[place] = _with(found[place], time, heard.words, lexicon)
    return tuple(found)


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


def _is_temperature(heard: Understanding, clock: Span, lexicon: Lexicon) -> bool:
    """True for a bare number said as what is there now: "it's one ten" in a series is no time."""
    numbers = [m for m in heard.measures if m.kind == "number"]
    same = [m for m in numbers if (m.start, m.end) == (clock.start, clock.end)]
    if not same or not PLAIN_HOURS < same[0].value <= HOTTEST or numbers[0].start >= clock.start:
        return False
    return heard.words[clock.start - 1] in lexicon.list("present_is")
