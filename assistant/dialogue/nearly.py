"""A number that is only a bound ("walk-in's just under forty"): what the gauge shows is asked for."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.answer import Answer
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.state import Pending
from assistant.dialogue.statements import asks
from intents.lexicon import Span
from intents.mentions import Understanding
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

NEAR = "note_near"


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Ask for the number itself of which only a bound was said, and log the others; ``None`` otherwise."""
    read = heard.interpretation.heard
    if heard.interpretation.readings.options or asks(read):
        return None
    if (either := _either(talk, read)) is not None:
        return _ask(talk, either)
    if not read.has(NEAR):
        return None
    whole = talk.interpreter.interpret(_without_bound(talk, read)).readings.certain
    bounds = {m.value for m in read.free_measures if _bound_before(talk, read, m.start)}
    near = tuple(r for r in whole if r.value in bounds or len(whole) == 1)
    if len(near) != 1:
        return None
    asked = _ask(talk, near)
    others = tuple(r for r in whole if r not in near)
    taken = recording.take(talk, others, heard) if others else asked
    if not others or not taken.own_drafts:
        return asked
    return replace(taken, text=f"{taken.text} {talk.rendered(asked)}", pending=asked.pending)


def _ask(talk: Conversation, readings: tuple[Reading, ...]) -> Outcome:
    name = talk.shown(readings[0].subject)
    answer = Answer("exact", {"place": name[:1].upper() + name[1:]})
    return Outcome(answer, recording.READING, pending=Pending("value", talk.clock.now(), readings=readings))


def _either(talk: Conversation, read: Understanding) -> tuple[Reading, ...] | None:
    """Return the reading of "thirty nine, maybe forty", of which the number is not sure."""
    numbers = [m for m in read.free_measures if m.kind in ("number", "temperature", "ppm")]
    doubt = talk.interpreter.lexicon.list("either_number")
    if len(numbers) != 2:
        return None
    first, second = numbers
    between, after = read.words[first.end : second.start], read.words[second.end :]
    if not (set(between) <= doubt and set(after) <= doubt and (between or after)):
        return None
    whole = talk.interpreter.interpret(" ".join(read.words[: first.end])).readings.certain
    return whole if len(whole) == 1 else None


def answered(talk: Conversation, heard: Heard, waiting: Pending) -> Outcome | None:
    """Take the number that was asked for, with or without its place."""
    asked = waiting.readings[0]
    if heard.interpretation.readings.options or heard.interpretation.heard.has(NEAR):
        return None
    kind = asked.subject_kind
    readings = talk.interpreter.answer_for(kind, asked.subject, talk.without_wake(heard.text)).certain
    if not readings:
        readings = talk.interpreter.answer_for(kind, asked.subject, _after_its_source(talk, heard)).certain
    return recording.take(talk, readings, heard) if len(readings) == 1 else None


def _after_its_source(talk: Conversation, heard: Heard) -> str:
    """Return what follows "says" in "the other one says thirty nine": which gauge it was is no matter."""
    read = heard.interpretation.heard
    if read.names.get("equipment") and read.names.get("food"):
        return ""
    shown = [i for i, word in enumerate(read.words) if word in talk.interpreter.lexicon.list("gauge_shows")]
    return " ".join(read.words[shown[-1] + 1 :]) if shown else ""


def _without_bound(talk: Conversation, read: Understanding) -> str:
    """Return the words without each bound that stands before a number."""
    bounds = [s for m in read.free_measures for s in _bound_before(talk, read, m.start)]
    left_out = {i for s in bounds for i in range(s.start, s.end)}
    return " ".join(word for i, word in enumerate(read.words) if i not in left_out)


def _bound_before(talk: Conversation, read: Understanding, number: int) -> list[Span]:
    """Return the bounds said before the number at ``number``, small words between them at most."""
    small = talk.interpreter.lexicon.links
    bounds = (s for s in read.concepts if s.value == NEAR and s.end <= number)
    return [s for s in bounds if all(word in small for word in read.words[s.end : number])]
