"""Which times told are since when: no plan's, deed's, delivery's or talk's, but both ends of a range."""

from __future__ import annotations

from fractions import Fraction

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from intents.quantities import Clock, Day, Moment, Number, Quantity, Span

Time = Clock | Day | Moment | Span

_SURELY = 0.6
"""With this share a clause means something that has a time of its own."""
_APART = frozenset(
    "none not_done action_done clock_bucket bucket_change receive_check receive_temp sign_in "
    "unsupported".split()
)
"""What such a clause means."""
_MARKED = ("since", "before", "after")
"""Words before a time that tell since when, whatever else the clause tells."""


def any_told(talk: Conversation, heard: Heard) -> bool:
    """True where some time was told that is since when of nothing that failed."""
    return any(apart(talk, heard, each) for each in heard.interpretation.heard.quantities)


def apart(talk: Conversation, heard: Heard, time: Quantity) -> bool:
    """True for the time in "I'll recheck at ten" and "the tech came at one"; not "about ten"."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    if time.marker in _MARKED:
        return False
    bounds = sorted({0, *read.breaks, len(read.words)})
    start = max(at for at in bounds if at <= time.start)
    end = min(at for at in bounds if at >= time.end)
    small = lexicon.small("read_at", "still_it", "hesitating", "deed_articles", "deed_hedges")
    timed = {i for each in read.quantities for i in range(each.start, each.end)}
    if all(i in timed or read.words[i] in small for i in range(start, end)):
        return False
    best = talk.interpreter.meaning_of(read.words[start:end]).best
    return best.share >= _SURELY and best.intent in _APART


def ranged(
    talk: Conversation, heard: Heard, times: list[tuple[Quantity, Time]]
) -> list[tuple[Quantity, Time]]:
    """Return the times with what stands behind them in short: "three hours, could be five"."""
    read, joins, found = heard.interpretation.heard, talk.interpreter.lexicon.list("or_also"), list(times)
    for number in read.quantities:
        for time, meaning in times:
            between = read.words[time.end : number.start]
            if time.end < number.start and joins.issuperset(between):
                found += [(number, each) for each in _alike(heard, time, meaning, number)]
    return found


def _alike(heard: Heard, time: Quantity, meaning: Time, number: Quantity) -> list[Time]:
    """Return what a bare number is behind a time: an hour of the day, or so many of a span's unit."""
    if isinstance(meaning, Clock):
        return [each for each in number.meanings if isinstance(each, Clock)]
    said = [m for m in heard.interpretation.heard.measures if m.kind == "duration" and m.start == time.start]
    plain = [each.values[0] for each in number.meanings if isinstance(each, Number)]
    if not isinstance(meaning, Span) or not said or not plain or not said[0].value:
        return []
    return [Span((meaning.minutes[0] / Fraction(said[0].value) * Fraction(plain[0]),))]
