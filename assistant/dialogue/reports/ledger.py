"""The ledger of words: nothing is logged that was not said, and nothing said is dropped in silence.

It looks at what is about to be logged, whoever decided it. A value or amount that nobody said is never
logged. A number, a time or a place that nothing used is given back in words.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.dialogue.answer import Answer
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.modifiers import around
from assistant.dialogue.reports.said_at import when
from assistant.dialogue.reports.times import Told, ways
from assistant.logbook.entry import Draft
from intents.lexicon import Span
from intents.quantities import quantities
from intents.readings import Reading
from intents.words import tokenise

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from assistant.dialogue.state import Pending

_LOG = logging.getLogger(__name__)
READING = "reading"
MEASURED = ("reading", "correction")
GIVEN_BACK = ("reading", "correction", "discard", "clock")
"""Kinds of entries of which the cook hears what was not used."""
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def balanced(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return ``outcome``, refused where it would log a value that was not said, else with what is given back."""
    if any(not _was_said(talk, heard, draft) for draft in outcome.drafts):
        _LOG.error("a value that was not said was about to be logged: %r", heard.text)
        return Outcome(Answer("say_again"), READING, keep_context=True)
    if not any(draft.kind in GIVEN_BACK for draft in outcome.drafts):
        return outcome
    left = unused(talk, heard, outcome)
    if not left:
        return outcome
    words = ", ".join(f"'{each}'" for each in left)
    text = outcome.text if outcome.text is not None else talk.rendered(outcome)
    return replace(outcome, text=f"{text} {talk.words('unused', words=words)}")


def _was_said(talk: Conversation, heard: Heard, draft: Draft) -> bool:
    """True when the value was said now, or is the one that was asked about or changed."""
    if draft.kind not in MEASURED or draft.value is None:
        return True
    value = Decimal(draft.value)
    return value in _values(heard.interpretation.heard.words, talk.language) | _values_before(talk)


def _values(words: tuple[str, ...], code: str) -> set[Decimal]:
    """Return every number that the words can hold."""
    said = {value for quantity in quantities(words, code) for value in quantity.values}
    return said | {-value for value in said}


def _values_before(talk: Conversation) -> set[Decimal]:
    """Return the numbers of the open question and of what was logged last, which an answer may keep."""
    lines = (talk.log.views.line(number) for number in talk.state.last_reading_ids)
    found = {Decimal(line.now.value) for line in lines if line is not None and line.now.value is not None}
    return found | (set(_asked(talk.state.pending)) if talk.state.pending is not None else set())


def _asked(pending: Pending) -> Iterator[Decimal]:
    for reading in (*pending.readings, *(r for option in pending.options for r in option)):
        yield reading.value
    if pending.request is not None:
        for measure in pending.request.slots.measures:
            yield from measure.options


def unused(talk: Conversation, heard: Heard, outcome: Outcome) -> tuple[str, ...]:
    """Return the words of numbers, times and places that nothing used, in the order said."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    told = _times(talk, heard)
    explained = {i for each in around(read, lexicon) for i in each.words}
    found: list[tuple[int, int]] = []
    if not _time_used(outcome):
        found += [(t.start, t.end) for t in told if when(t, talk.clock.now()).kind != "now"]
    timed = {i for t in told for i in t.words}
    found += _numbers(talk, heard, outcome, timed)
    found += [(s.start, s.end) for s in _places(talk, heard, outcome) if s.start not in explained]
    return tuple(" ".join(read.words[start:end]) for start, end in sorted(set(found)))


def _times(talk: Conversation, heard: Heard) -> tuple[Told, ...]:
    read = heard.interpretation
    known = read.meaning.roles if len(read.meaning.roles) == len(read.heard.words) else ()
    every = ways(read.heard.words, talk.interpreter.lexicon, known)
    return tuple(t for t in (every[0] if every else ()) if not t.bare) or (every[-1] if every else ())


def _time_used(outcome: Outcome) -> bool:
    """True when an entry keeps a time, or the answer was about a time."""
    if any(draft.said_at or draft.kind == "clock" for draft in outcome.drafts):
        return True
    slots = outcome.request.slots if outcome.request is not None else None
    looked = slots is not None and any(slots.usage.looked_at(kind) for kind in ("duration", "clock"))
    waiting = outcome.pending is not None
    return looked or waiting or (outcome.text is not None and "hour" in outcome.text)


def _numbers(
    talk: Conversation, heard: Heard, outcome: Outcome, timed: set[int]
) -> Iterator[tuple[int, int]]:
    """Give the runs of words whose number is in nothing that is logged or asked."""
    read = heard.interpretation.heard
    names = {i for spans in read.names.values() for s in spans for i in range(s.start, s.end)}
    used = _used_values(talk, outcome)
    for quantity in quantities(read.words, read.language):
        places = set(range(quantity.start, quantity.end))
        if not quantity.values or places & timed or places <= names or quantity.values & used:
            continue
        if any(m.kind in ("number", "temperature", "ppm", "ph") for m in read.measures if m.start in places):
            yield quantity.start, quantity.end


def _used_values(talk: Conversation, outcome: Outcome) -> set[Decimal]:
    """Return the numbers in the entries and in what is said back."""
    said = [outcome.text or talk.rendered(outcome)]
    for draft in outcome.drafts:
        said += [draft.value or "", draft.note, draft.amount, draft.subject, draft.place]
    found = {Decimal(number) for text in said for number in _NUMBER.findall(text)}
    found |= {Decimal(n) for d in outcome.drafts for n in _NUMBER.findall(d.said_at or "")}
    amounts = (v for draft in outcome.drafts for v in _values(tokenise(draft.amount), talk.language))
    pending = set(_asked(outcome.pending)) if outcome.pending is not None else set()
    return found | {abs(value) for value in found} | set(amounts) | pending


def _places(talk: Conversation, heard: Heard, outcome: Outcome) -> Iterable[Span]:
    """Return the places named that no reading is of."""
    readings = [draft for draft in outcome.drafts if draft.kind == "reading"]
    if not readings:
        return ()
    known = {part for draft in outcome.drafts for part in (draft.subject, draft.place, draft.note)}
    known |= {r.subject for r in _pending_readings(outcome)} | {r.place for r in _pending_readings(outcome)}
    every = heard.interpretation.heard.names.get("equipment", ())
    return tuple(
        s for s in every if not any(s.value in part or part.startswith(s.value) for part in known if part)
    )


def _pending_readings(outcome: Outcome) -> tuple[Reading, ...]:
    waiting = outcome.pending
    if waiting is None:
        return ()
    return (*waiting.readings, *(r for option in waiting.options for r in option))
