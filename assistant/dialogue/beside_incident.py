"""The number of a place told beside an incident: it is read back, and the incident is noted alone.

"Fish room forty, flies everywhere": the number is never put away in the words of a note.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from assistant.dialogue import notes, recording, which_place
from assistant.dialogue.clauses import cut, joints
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.take import told_share
from intents.mentions import READ, Understanding
from intents.quantities import Clock, Day, Moment
from intents.readings import Reading

_READS = 0.5
"""Least share of a reading for a clause that tells one (judgement)."""


def read(talk: Conversation, heard: Heard, advice: Outcome) -> Outcome | None:
    """Return the number of a place read back that one clause tells, with a note of the other words."""
    said, of_time = heard.interpretation.heard, (Clock, Day, Moment)
    ends = {m.end for m in said.free_measures if m.kind in READ}
    timed = {q.start for q in said.quantities if any(isinstance(m, of_time) for m in q.meanings)}
    tied = {end for end in ends if timed & {*_clause_from(said, end)}}
    told = [range(*part) for part in cut(talk, said, tied=tied) if part[1] in ends]
    found = ((part, _number_of(talk, heard, part)) for part in told)
    part, readings = next((each for each in found if each[1]), (range(0), ()))
    words = " ".join(_without_joints(talk, [said.words[i] for i in range(len(said.words)) if i not in part]))
    if not readings or not words or not talk.addressed:
        return None
    places = {s.value for s in said.names.get("equipment", ()) if s.start not in part}
    place = next(iter(places)) if len(places) == 1 else notes.NOBODYS
    note = notes.NoteDraft(words, place, advice=(advice,))
    asked = notes.beside(talk, recording.confirm(talk, readings), (note,))
    return replace(asked, used=frozenset(range(len(said.words))))


def _without_joints(talk: Conversation, words: Sequence[str]) -> Sequence[str]:
    """Return ``words`` without what joined them to a clause that is taken out."""
    joining = joints(talk)
    first = next((i for i, word in enumerate(words) if word not in joining), len(words))
    last = next((i for i in range(len(words), first, -1) if words[i - 1] not in joining), first)
    return words[first:last]


def _clause_from(read: Understanding, at: int) -> range:
    """Return the words from ``at`` to the next comma: a time told there is that of the number before it."""
    return range(at, min((end for end in read.breaks if end > at), default=len(read.words)))


def _number_of(talk: Conversation, heard: Heard, part: range) -> tuple[Reading, ...]:
    """Return what a clause tells to have been read; without a place it is of the only one named."""
    read = heard.interpretation.heard
    alone = talk.part(heard, part)
    told = talk.again(alone)
    readings = told.readings or (told.pending.readings if told.pending is not None else ())
    if told_share(alone) < _READS:
        return ()  # "a bug in table four's salad"
    named = read.names.get("equipment", ())
    numbers = [m for m in read.free_measures if m.start in part and m.kind in READ]
    if not readings and len(named) == len(numbers) == 1 and named[0].start not in part:
        value = f"{numbers[0].value:f}" if len(numbers[0].options) == 1 else ""
        readings = talk.interpreter.answer_for("equipment", named[0].value, value).certain if value else ()
    unsure = which_place.asked(talk, readings) is not None or any(reading.said_at for reading in readings)
    return () if unsure else readings  # "hand sink, two is it" tells which one
