"""Readings of food whose cooling clock runs, said like any other reading ("rice is forty-five")."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue.answer import Answer
from assistant.dialogue.clocks import RunningClock, running_clock
from assistant.dialogue.cooling_batch import batch_answer
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import render
from assistant.dialogue.slots import Slots
from assistant.rules.basis import Verdict
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

Batch = tuple[Reading, RunningClock]
_ORDER = (Verdict.FAIL, Verdict.CANNOT_JUDGE, Verdict.PASS)


def split(talk: Conversation, readings: tuple[Reading, ...]) -> tuple[tuple[Batch, ...], tuple[Reading, ...]]:
    """Return the readings of food that is cooling, each with its clock, and the others."""
    batches: list[Batch] = []
    others: list[Reading] = []
    for reading in readings:
        clock = None
        if reading.subject_kind == "food" and not reading.place:
            clock = running_clock(talk.log.views, talk.clock.now(), "cooling", reading.subject)
        if clock is None:
            others.append(reading)
        else:
            batches.append((reading, clock))
    return tuple(batches), tuple(others)


def joined(
    talk: Conversation, batches: tuple[Batch, ...], others: Outcome | None, readings: tuple[Reading, ...]
) -> Outcome:
    """Return one outcome for the readings of batches and, said in the same breath, ``others``."""
    slots = Slots(foods=tuple(reading.subject for reading, _ in batches))
    request = talk.request("cooling_check", slots)
    told = [batch_answer(request, clock, reading.value, reading.unit) for reading, clock in batches]
    texts = [render(answer, answer.intent, talk.catalogue) for answer in told]
    verdicts = {answer.verdict for answer in told} | ({others.verdict} if others else set())
    drafts = tuple(draft for answer in told for draft in answer.drafts)
    sources = tuple(source for answer in told for source in answer.sources)
    before = others.text if others and others.text else ""
    return Outcome(
        Answer("pass", sources=sources),
        "reading",
        request,
        " ".join([before, *texts]).strip(),
        (*(others.own_drafts if others else ()), *drafts),
        pending=others.pending if others else None,
        own_verdict=next((verdict for verdict in _ORDER if verdict in verdicts), None),
        readings=readings,
    )
