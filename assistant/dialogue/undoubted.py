"""What was read back though nothing in its words is in doubt is logged at once.

Many roads read a number back because something else stands beside it, a remark or a deed. Where every number
of the breath is a reading of what is named in it, and nothing denies, hedges or tells a time that went
unused, a yes would add nothing: a cook who goes on without one would lose what was told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from assistant.dialogue import recording
from assistant.dialogue.called import may_be_article, may_be_time, rival_asks
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.gate import Passage, after_doubtful_word, fits_place, passage, unit_unsaid
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.names_told import plurals
from intents.mentions import READ, Understanding
from intents.number_roles import may_differ
from intents.quantities import Clock
from intents.readings import Reading

READING = "reading"
Rows = dict[tuple[int, int], str]
"""Where the words name a row of places ("all three drawers"), and which."""
_TOLD, _TALK = 0.7, 0.15
"""Least share of telling, and the share of talk from which a number is read back (judgement)."""
_AGAINST = (
    "takes_back", "wished", "denying", "negation", "correction_openers", "points_other", "gauges",
    "or_that", "was_before", "by_others", "moved_by", "changed_by", "same_as_before",
)  # fmt: skip
"""Lists of words that put a number in doubt, or tell it of something else."""
_BEFORE = ("openers", "hesitating", "deed_articles", "list_joins", "read_at", "prepositions", "asides")
"""Lists of words before a place's name: any other may tell it from another ("the big walk-in")."""
_A_FEW_WORDS, _ONE_OF_EACH = 3, 2


def logged(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return the outcome with what it reads back logged, where the words leave no doubt of it."""
    waiting, before = outcome.pending, talk.state.pending
    if waiting is None or waiting.kind != "confirm" or waiting is before or waiting.unnumbered:
        return outcome
    waited = before.readings if before is not None and before.kind == "confirm" else ()
    new = tuple(reading for reading in waiting.readings if reading not in waited)
    old = tuple(reading for reading in waiting.readings if reading in waited)
    question = recording.confirm(talk, waiting.readings).text or ""
    text = talk.rendered(outcome)
    if not new or not text.endswith(question) or not _sure(talk, heard, new):
        return outcome
    log = recording.log_whole(talk, new)
    if log.pending is not None and (old or log.pending.kind != "slot"):
        return outcome
    rest = recording.confirm(talk, old) if old else None
    told = (text.removesuffix(question).strip(), talk.rendered(log), rest.text if rest is not None else "")
    return replace(
        outcome,
        answer=log.bare,
        text=" ".join(filter(None, told)),
        own_drafts=(*outcome.drafts, *log.drafts),
        own_verdict=log.verdict,
        readings=log.readings,
        pending=rest.pending if rest is not None else log.pending,
    )


def _sure(talk: Conversation, heard: Heard, readings: Sequence[Reading]) -> bool:
    read, meaning = heard.interpretation.heard, heard.interpretation.meaning
    if not talk.addressed or heard.interpretation.asked or read.asks or meaning.talk >= _TALK:
        return False
    if meaning.best.intent != READING or meaning.best.share < _TOLD:
        return False
    if meaning.share_of("tell", "answer") < _TOLD or not _passes(talk, heard, tuple(readings)):
        return False
    if heard.guessed or talk.interpreter.only_guessed(read.words) or may_differ(read) or _doubted(talk, read):
        return False
    rows = {(start, end): item.id for start, end, item, _ in plurals(talk, read.words)}
    return _all_used(read, readings, rows) and _named(talk, read, readings, rows)


def _passes(talk: Conversation, heard: Heard, readings: tuple[Reading, ...]) -> bool:
    """True where the gate lets the numbers pass, as heard."""
    kinds = {place: talk.site.kind_of(place) for r in readings for place in (r.subject, r.place)}
    doubted = rival_asks(talk, heard) or after_doubtful_word(heard) or may_be_time(talk, readings, heard)
    doubted = doubted or may_be_article(talk, readings, heard)
    doubted = doubted or unit_unsaid(heard, readings, talk.site.kitchen.units)
    sensible = all(fits_place(reading, kinds) for reading in readings)
    return sensible and not doubted and passage(heard, readings, kinds) is Passage.LOG


def _doubted(talk: Conversation, read: Understanding) -> bool:
    lexicon = talk.interpreter.lexicon
    against = frozenset().union(*map(lexicon.list, _AGAINST))
    said = {*read.words, *(" ".join(read.words[i : i + 2]) for i in range(len(read.words)))}
    asks = lexicon.list("asking") & {read.words[at] for at in read.breaks if at < len(read.words)}
    hedged = asks or read.has("note_unsure", "scratch", "make_that") or any(q.about for q in read.quantities)
    return bool(said & against or hedged)


def _all_used(read: Understanding, readings: Sequence[Reading], rows: Rows) -> bool:
    """True where each number is one of the readings and none may be a time, and a time told is theirs."""
    named = {i for spans in read.names.values() for s in spans for i in range(s.start, s.end)}
    counted = {s.start for s in read.names.get("equipment", ())} | {start for start, _ in rows}
    counted -= read.breaks  # "all three drawers"
    told = (m for m in read.free_measures if m.kind in READ and m.end not in counted)
    numbers = [m for m in told if m.start not in named]
    inside = named | {i for m in numbers for i in range(m.start, m.end)}
    others = [q for q in read.quantities if not inside & {*range(q.start, q.end)} and q.end not in counted]
    clocks = (q for q in read.quantities if q.marker and q.all(Clock))
    if any(inside & {*range(q.start, q.end)} for q in clocks) or any(len(m.options) != 1 for m in numbers):
        return False
    at = {r.said_at for r in readings}
    if at != {""} if not others else (len(others) != 1 or len(at) != 1 or "" in at):
        return False
    return [m.value for m in numbers] == [r.value for r in readings][: len(numbers)] and (
        len(numbers) == len(readings) or (len(numbers) == len(rows) == 1)
    )


def _named(talk: Conversation, read: Understanding, readings: Sequence[Reading], rows: Rows) -> bool:
    """True where each number stands behind the place it was read at, and nothing else is named."""
    if any(talk.site.kind_of(r.place or r.subject) == "" for r in readings):
        return False  # a food alone may be an order called out
    spans = talk.interpreter.with_short_places(read).names.get("equipment", ())
    foods = {s.value for s in read.names.get("food", ())}
    said = {*(_family(span.value) for span in spans), *rows.values()}
    of = {_family(r.place or r.subject) for r in readings}
    one_word = any(span.end - span.start == 1 for span in spans)
    short = one_word and len(read.words) <= _A_FEW_WORDS  # "pass one fifty" may be a call
    if said != of or foods - {r.subject for r in readings} or short:
        return False
    lexicon = talk.interpreter.lexicon
    small = frozenset().union(lexicon.filler, *map(lexicon.list, _BEFORE))
    inside = {i for start, end in rows for i in range(start, end)}
    starts = [s.start for s in spans if s.start not in inside] + [start for start, _ in rows]
    counts = {m.end for m in read.measures}
    known = (i in {0, *read.breaks, *counts} or {*read.words[i - 1 : i]} <= small for i in starts)
    return all(known) and _in_turn(read, readings, starts)


def _in_turn(read: Understanding, readings: Sequence[Reading], starts: Sequence[int]) -> bool:
    """True where names and numbers take turns, or one of each is told."""
    values = {reading.value for reading in readings}
    told = [m.start for m in read.free_measures if m.kind in READ and m.value in values]
    row = sorted([(at, True) for at in starts] + [(at, False) for at in told])
    return len(row) <= _ONE_OF_EACH or [name for _, name in row] == [True, False] * (len(row) // 2)


def _family(name: str) -> str:
    return name.rstrip("0123456789 ")
