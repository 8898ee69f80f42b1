"""The memory after a turn: the open question, what "scratch that" takes back, the foods spoken of last."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from assistant.dialogue import implied, people_talk, unanswered
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.state import State
from assistant.dialogue.topic import aspect
from assistant.logbook.entry import Entry

STILL_OPEN = ("slot", "choose", "value", "agree")
"""Kinds of questions that stay open beside talk; a yes or a "the first" a while later is to somebody else."""
TAKEN_BACK = ("reading", "clock", "contact", "event", "discard", "not_taken")
"""Kinds of entries that "scratch that" takes back."""


def after(talk: Conversation, outcome: Outcome, heard: Heard, entries: Sequence[Entry], reply: str) -> State:
    """Return the state after a turn that logged ``entries`` and said ``reply``."""
    state = _after(talk, outcome, tuple(e.id for e in entries if e.kind in TAKEN_BACK), reply)
    if reply:
        state = replace(state, said_before=(*talk.state.said_before[-1:], heard.interpretation.heard.words))
    written = {entry.subject for entry in entries if entry.kind != "event"}  # a note settles no reading
    state = replace(state, unconfirmed=unanswered.lost(talk, outcome, written))
    called = talk.addressed  # what is said to somebody else names nothing here
    if places := _places(talk, outcome, heard) if called else ():
        spans = (s.value.removeprefix(implied.MEASURED) for s in heard.interpretation.heard.concepts)
        told = [r.measured for r in outcome.readings] or [each for each in spans if each == "wash"]
        measured = aspect(told[0]) if len({*told}) == 1 else ""
        state = replace(state, spoken_places=places, places_at=talk.clock.now(), spoken_aspect=measured)
    foods = _foods(talk, heard, entries) if called or entries else ()
    if not entries and talk.state.foods(talk.clock.now()) and _of_it(talk, heard):
        foods = ()
    if not foods and any(entry.kind == "reading" and not entry.item for entry in entries):
        return replace(state, spoken_foods=(), foods_at=None)  # "it" is what is in that place
    return replace(state, spoken_foods=foods, foods_at=talk.clock.now()) if foods else state


def _after(talk: Conversation, outcome: Outcome, reading_ids: tuple[int, ...], reply: str) -> State:
    now, before = talk.clock.now(), talk.state
    state = replace(before, pending=outcome.pending, **{"judged": (), **outcome.changes})
    if outcome.answer is None and not outcome.drafts and outcome.text is None:
        waiting = before.pending  # a remark to somebody else answers no question and drops none
        kept = outcome.keep_context or (waiting is not None and waiting.kind in STILL_OPEN)
        return replace(before, pending=waiting if kept else None)
    if not outcome.keep_context:
        state = replace(state, last_request=outcome.request, last_answer=outcome.answer)
    if outcome.answer is not None and outcome.answer.remember:
        state = replace(state, memory={**state.memory, **outcome.answer.remember})
    for draft in outcome.drafts:
        if draft.kind == "sign_in":
            out = draft.note == people_talk.OUT
            state = replace(state, person="" if out else draft.subject, signed_in_at=None if out else now)
    question = reply if outcome.pending is not None else ""
    if reading_ids and before.pending is not None and before.pending.partly_logged:
        reading_ids = (*state.last_reading_ids, *reading_ids)  # the rest of one breath
    ids = outcome.reading_ids or reading_ids or state.last_reading_ids
    state = replace(state, last_reply=reply, last_aloud=outcome.aloud, last_at=now)
    return replace(state, last_reading_ids=ids, last_question=question)


def _places(talk: Conversation, outcome: Outcome, heard: Heard) -> tuple[str, ...]:
    """Return the places named in a turn, also in short; without any, those read back or implied."""
    said = heard.interpretation.heard
    foods, full = {(s.start, s.end) for s in said.names.get("food", ())}, said.names.get("equipment", ())
    read_there = {r.subject for r in outcome.readings} | {draft.subject for draft in outcome.drafts}
    named = [
        span.value
        for span in talk.interpreter.with_short_places(said).names["equipment"]
        if span in full or span.value in read_there or (span.start, span.end) not in foods
    ]  # "the chowder I cooked" is no chowder well
    read = (r.place or r.subject for r in outcome.readings)
    about = outcome.request.about if outcome.request is not None else ()
    places = named or [p for p in read if talk.site.kind_of(p)] or about
    return tuple(dict.fromkeys(places))


def _of_it(talk: Conversation, heard: Heard) -> bool:
    """True for "it's got egg in": what was spoken of before is still spoken of."""
    return bool({*heard.interpretation.heard.words[:2]} & talk.interpreter.lexicon.list("still_it"))


def _foods(talk: Conversation, heard: Heard, entries: Sequence[Entry]) -> tuple[str, ...]:
    """Return the foods of an answered turn; "beer thirty seven" may be the beer cooler's, and names none."""
    logged = tuple(entry.item for entry in entries if entry.item and ", " not in entry.item)
    named = tuple(span.value for span in heard.interpretation.heard.names.get("food", ()))
    if not named or heard.interpretation.heard.has("strip_word"):  # "the paper shows green"
        return tuple(dict.fromkeys(logged))
    of_places = talk.interpreter.place_words
    read = any(entry.kind == "reading" and not entry.item for entry in entries)
    named = tuple(f for f in named if f in logged or not (read and set(f.split()) <= of_places))
    return tuple(dict.fromkeys(named or logged))
