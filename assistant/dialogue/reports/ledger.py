"""The ledger of words: nothing is logged that was not said, and nothing said is dropped in silence.

It looks at what is about to be logged, whoever decided it. A value or amount that nobody said is never
logged. A number, a time or a place that nothing used is given back in words.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise
from typing import TYPE_CHECKING

from assistant.dialogue import told_deeds, told_too
from assistant.dialogue.answer import Answer
from assistant.dialogue.hearing import Heard
from assistant.dialogue.moments import shown_time
from assistant.dialogue.moves import KEEPS_FOOD
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.batch_words import batch_words
from assistant.dialogue.reports.modifiers import around
from assistant.dialogue.reports.said_at import when
from assistant.dialogue.reports.time_of import of_another_clause
from assistant.dialogue.reports.times import BEFORE_A_TIME, Told, ways
from assistant.logbook.entry import Draft
from intents.language import language
from intents.lexicon import Lexicon, Span
from intents.mentions import MASK, READ, Measure, Understanding
from intents.number_roles import Of, other_numbers, words_of_others
from intents.quantities import Day, Number, Ordinal, Quantity, quantities
from intents.ranges import label_range, range_at
from intents.readings import Reading
from intents.remarks import remarks
from intents.tools import tools
from intents.words import tokenise

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from assistant.dialogue.state import Pending

_LOG = logging.getLogger(__name__)
READING = "reading"
MEASURED = ("reading", "correction")
COUNTED = ("count", "volume", "weight", "length", "altitude")
"""Kinds of numbers that no gauge, probe or strip shows."""
GIVEN_BACK = ("reading", "correction", "discard", "clock")
"""Kinds of entries of which the cook hears what was not used."""
_EXPLAINED: tuple[Of, ...] = ("thing", "count", "set")
"""What a number is of that is never given back, whatever was logged."""
_MOST_PLACES = 10
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def balanced(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return ``outcome`` with what is given back; refused where it would log a value that was not said."""
    if any(not _was_said(talk, heard, draft) for draft in outcome.drafts):
        deeds = told_deeds.report(talk, heard)  # "not taking it, four cases" was read as four degrees
        outcome = deeds if deeds is not None and deeds.drafts else outcome
    if any(not _was_said(talk, heard, draft) for draft in outcome.drafts):
        _LOG.error("a value that was not said was about to be logged: %r", heard.text)
        return Outcome(Answer("say_again"), READING, keep_context=True)
    kept = bool(outcome.used) or any(draft.kind in GIVEN_BACK for draft in outcome.drafts)
    lost = told_deeds.lost(talk, heard, outcome)
    noted = told_too.kept(talk, heard, outcome)
    left = (*(unused(talk, heard, noted) if kept else ()), *(lost if noted is outcome else ()))
    left += _shelves(heard.interpretation.heard, noted)
    outcome = noted
    if not left:
        return outcome
    words = ", ".join(f"'{each}'" for each in left)
    text = talk.rendered(outcome)
    return replace(outcome, text=f"{text} {talk.words('unused', words=words)}")


def _shelves(read: Understanding, outcome: Outcome) -> tuple[str, ...]:
    """Return the shelves told of a place beside what was read there: the log keeps none."""
    of = [o for o in other_numbers(read) if o.role == "shelf" and not outcome.used & {*range(o.start, o.end)}]
    reads = outcome.readings or pending_readings(outcome)
    return tuple(" ".join(read.words[o.start : o.end]) for o in of) if reads else ()


def _was_said(talk: Conversation, heard: Heard, draft: Draft) -> bool:
    """True when the value was said now, or is the one that was asked about or changed."""
    if draft.kind not in MEASURED or draft.value is None:
        return True
    value, words = Decimal(draft.value), heard.interpretation.heard.words
    breaks = heard.interpretation.heard.breaks
    said = said_values(_without_names(talk, heard), talk.language, breaks) | _values_before(talk)
    if talk.site.kitchen.units == "C":  # "three nine" of a cooler
        grammar = language(talk.language).numbers
        digits = [min(grammar.integers((word,)), default=-1) for word in words]
        said |= {Decimal(10 * a + b) / 10 for a, b in pairwise(digits) if 0 <= a <= 9 and 0 <= b <= 9}
    return value in said


def _without_names(talk: Conversation, heard: Heard) -> tuple[str, ...]:
    """Return the words with the places' names masked: the box of "one forty two, box two" counts nothing."""
    read, numbers = heard.interpretation.heard, language(talk.language).numbers
    spans = talk.interpreter.with_short_places(read).names.get("equipment", ())
    named = {i for span in spans for i in range(span.start, span.end)} | words_of_others(read, "thing")
    return tuple(
        MASK if i in named and not numbers.is_number_word(word) else word for i, word in enumerate(read.words)
    )


def said_values(words: tuple[str, ...], code: str, breaks: frozenset[int] = frozenset()) -> set[Decimal]:
    """Return every number that the words can hold as one that was read: no count of pans, no pounds."""
    said = {value for quantity in quantities(words, code, breaks) for value in _readable(quantity)}
    ranges = (range_at(words, at, code) for at in range(len(words)))  # "between one and two hundred"
    said |= {end for span in ranges if span is not None for end in (span.low, span.high)}
    return said | {-value for value in said}


def _readable(quantity: Quantity) -> set[Decimal]:
    """Return the numbers of a quantity without those that its words count or weigh."""
    numbers = [m for m in quantity.meanings if isinstance(m, Number) and m.kind not in COUNTED]
    own = {value for number in numbers for value in number.values}
    own |= {Decimal(v) for m in quantity.meanings if isinstance(m, Ordinal) for v in m.values}
    return own.union(*(_readable(part) for way in quantity.splits for part in way))


def _values_before(talk: Conversation) -> set[Decimal]:
    """Return the numbers of the open question, of what was logged last and judged last, which may be kept."""
    found = {Decimal(line.now.value) for line in talk.last_lines if line.now.value is not None}
    found |= {reading.value for reading in talk.state.judged}
    return found | (set(_asked(talk.state.pending)) if talk.state.pending is not None else set())


def _asked(pending: Pending) -> Iterator[Decimal]:
    for reading in (*pending.readings, *(r for option in pending.options for r in option)):
        yield reading.value
    if pending.agreed is not None:
        yield from (Decimal(draft.value) for draft in pending.agreed.drafts if draft.value is not None)
    if pending.request is not None:
        for measure in pending.request.slots.measures:
            yield from measure.options


def unused(talk: Conversation, heard: Heard, outcome: Outcome) -> tuple[str, ...]:
    """Return the words of numbers, times and places that nothing used, in the order said."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    explained = {i for each in around(read, lexicon) for i in each.words} | outcome.used
    batch = _of_batches(read, outcome, lexicon)
    read_with = tools(read, talk.site.kind_of, lexicon)  # "with number one"
    batch |= {i for start, end in read_with.items() for i in range(start, end)}
    used = _used_values(talk, outcome)
    told = _times(talk, heard, used)
    timed = {i for t in told for i in t.words}
    numbers = [(m.start, m.end) for m in read.free_measures if m.kind in READ and m.start not in timed]
    found = [
        (t.start, t.end)
        for t in told
        if not (explained | batch) & set(t.words) and not _is_kept(talk, outcome, t)
        if not (t.bare and read.words[t.start] not in BEFORE_A_TIME)
        if t.part != "at" or not of_another_clause(t, told, read, numbers, lexicon)
    ]
    counted = [
        m
        for m in _numbers(talk, heard, used)
        if m.start not in timed | batch | outcome.used | _others(read, outcome)
    ]
    found += [(m.start, m.end) for m in counted]
    found += [(s.start, s.end) for s in _places(talk, heard, outcome) if s.start not in explained]
    return tuple(" ".join(read.words[start:end]) for start, end in sorted(set(found)))


def _others(read: Understanding, outcome: Outcome) -> set[int]:
    """Return the words of numbers that nobody read off; a difference of a place without a number is told."""
    known = {part for d in outcome.drafts for part in (d.subject, d.place)}
    known |= {part for r in pending_readings(outcome) for part in (r.subject, r.place)}
    told = {span.value for span in read.names.get("equipment", ())} <= known
    return words_of_others(read, *_EXPLAINED) | (words_of_others(read, "difference") if told else set())


def used_by(talk: Conversation, outcome: Outcome) -> set[Decimal]:
    """Return the numbers in the entries of an outcome, and in what it asks."""
    return _used_values(talk, replace(outcome, text=""))  # a time that is said back used none


def _of_batches(read: Understanding, outcome: Outcome, lexicon: Lexicon) -> set[int]:
    """Return the words that told which batch, or which of two: "the first one", "batch two"."""
    spans = [(s.start, s.end) for s in read.concepts if s.value in ("first_one", "second_one")]
    if any(reading.batch for reading in outcome.readings) or any(d.kind == "clock" for d in outcome.drafts):
        spans += [(way.start, way.end) for ways in batch_words(read, lexicon) for way in ways[:1]]
    return {i for start, end in spans for i in range(start, end)}


def _times(talk: Conversation, heard: Heard, used: set[Decimal]) -> tuple[Told, ...]:
    """Return the times said; a number after "at" only where it was not used as one."""
    read = heard.interpretation
    every = ways(read.heard, talk.interpreter.lexicon, read.meaning.roles)
    measured = {m.start for m in read.heard.measures if used & set(m.options)}
    surest = sorted(every, key=lambda way: (any(t.bare and measured & set(t.words) for t in way), -len(way)))
    return tuple(t for t in (surest[0] if surest else ()) if not (t.bare and measured & set(t.words)))


def _is_kept(talk: Conversation, outcome: Outcome, told: Told) -> bool:
    """True for the present, for a time that an entry keeps or tells of, and where the answer was about it."""
    found = when(told, talk.clock.now())
    day = told.part == "plan" and isinstance(told.meaning, Day)  # "for tomorrow" is no time of what is kept
    if found.kind == "now" or day or any(draft.said_at for draft in outcome.drafts):
        return True
    if told.part == "span" and any(draft.kind == "clock" for draft in outcome.drafts):
        return True
    texts = [talk.rendered(outcome), *(draft.note for draft in outcome.drafts)]
    if found.at is not None and any(shown_time(found.at) in text for text in texts):
        return True
    slots = outcome.request.slots if outcome.request is not None else None
    looked = slots is not None and any(slots.usage.looked_at(kind) for kind in ("duration", "clock"))
    return looked or (told.part in ("since", "span") and any(map(_tells_hours(talk), texts)))


def _tells_hours(talk: Conversation) -> Callable[[str], bool]:
    """Return what tells whether a reply in its language, or a note, speaks of hours."""
    finder = talk.interpreter.lexicon.finder
    return lambda text: "hour" in text or any(s.value == "unit_hour" for s in finder.find_all(tokenise(text)))


def _numbers(talk: Conversation, heard: Heard, used: set[Decimal]) -> Iterator[Measure]:
    """Give the numbers that are in nothing that is logged, said or asked, and were not taken back at once."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    label = label_range(read.words, lexicon)
    runs = [(set(range(q.start, q.end)), q.values) for q in read.quantities]
    held = {span.start for span in read.spans("container_word")}
    for measure in read.free_measures:
        after = set(read.words[measure.end : measure.end + 1])
        # "Low-boy two thirty nine": a place's number and a reading are one run of words.
        options = set(measure.options).union(*(values for words, values in runs if measure.start in words))
        if measure.kind not in READ or used & options or after & lexicon.list("second_thought"):
            continue
        if label is not None and label.start <= measure.start < label.end:
            continue
        if measure.start > 1 and read.words[measure.start - 1] in lexicon.list("denying"):
            continue  # "one fifty, not three hundred"
        if measure.value == 1 and measure.end in held:
            continue  # "one case of cod at thirty seven"
        if measure.value < _MOST_PLACES and after & lexicon.list("read_at"):
            continue  # "three's at forty three"
        yield measure


def _used_values(talk: Conversation, outcome: Outcome) -> set[Decimal]:
    """Return the numbers in the entries and in what is said back."""
    said = [talk.rendered(outcome)]
    for draft in outcome.drafts:
        said += [draft.value or "", draft.note, draft.amount, draft.subject, draft.place]
    found = {Decimal(number) for text in said for number in _NUMBER.findall(text)}
    times = [(int(d.said_at[11:13]) % 12 or 12, int(d.said_at[14:16])) for d in outcome.drafts if d.said_at]
    found |= {Decimal(hour * 100 + minute if minute else hour) for hour, minute in times}  # "at nine thirty"
    counted = (quantities(tokenise(draft.amount), talk.language) for draft in outcome.drafts)
    amounts = (value for amount in counted for quantity in amount for value in quantity.values)
    pending = set(_asked(outcome.pending)) if outcome.pending is not None else set()
    found |= {value * 10 for value in found if value % 1}  # "three nine" of a cooler's 3.9
    return found | {-value for value in found} | set(amounts) | pending


def _places(talk: Conversation, heard: Heard, outcome: Outcome) -> Iterable[Span]:
    """Return the places where food is kept that were named, and that no reading is of."""
    if not any(draft.kind == "reading" for draft in outcome.drafts):
        return ()
    read = heard.interpretation.heard
    waiting = pending_readings(outcome)
    known = {part for draft in outcome.drafts for part in (draft.subject, draft.place)}
    known |= {part for r in waiting for part in (r.subject, r.place)}
    bases = {part.rstrip("0123456789 ") for part in known}
    noted = {i for start, end in remarks(read).items() for i in range(start, end)}
    return tuple(
        span
        for span in read.names.get("equipment", ())
        if span.value.rstrip("0123456789 ") not in bases
        and talk.site.kind_of(span.value) in KEEPS_FOOD
        and not noted & set(range(span.start, span.end))
    )


def pending_readings(outcome: Outcome) -> tuple[Reading, ...]:
    """Return the readings that wait for a yes or for which of them is meant."""
    waiting = outcome.pending
    if waiting is None:
        return ()
    return (*waiting.readings, *(r for option in waiting.options for r in option))
