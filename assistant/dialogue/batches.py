"""Readings of food whose cooling clock runs, said like any other reading ("rice is forty-five")."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.dialogue.answer import Answer, Request
from assistant.dialogue.clocks import RunningClock, running_clock
from assistant.dialogue.cooling_batch import batch_answer
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import render
from assistant.dialogue.slots import Slots
from assistant.logbook.entry import Draft
from assistant.rules.basis import Temperature, Verdict
from assistant.rules.cooling import CoolingLimits
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

Batch = tuple[Reading, RunningClock]
COOLING_PLACES = ("", "cold_holding", "egg_cooler", "freezer")
JUST_STARTED_HOURS = Decimal("0.5")
_ORDER = (Verdict.FAIL, Verdict.CANNOT_JUDGE, Verdict.PASS)


def split(talk: Conversation, readings: tuple[Reading, ...]) -> tuple[tuple[Batch, ...], tuple[Reading, ...]]:
    """Return the readings of food that is cooling, each with its clock, and the others."""
    batches: list[Batch] = []
    others: list[Reading] = []
    for reading in readings:
        clock = _clock(talk, reading)
        if clock is None:
            others.append(reading)
        else:
            batches.append((reading, clock))
    return tuple(batches), tuple(others)


def _clock(talk: Conversation, reading: Reading) -> RunningClock | None:
    """Return the cooling clock that a reading belongs to.

    Food on the steam table is not cooling, and food as hot as at the start, long after it, is another batch.
    """
    if reading.subject_kind != "food" or talk.site.kind_of(reading.place) not in COOLING_PLACES:
        return None
    now = moment_of(reading, talk.clock.now())
    clock = running_clock(talk.log.views, now, "cooling", reading.subject)
    if clock is None or clock.hours(now) <= JUST_STARTED_HOURS:
        return clock
    limit = CoolingLimits.of(talk.site.profile).start
    read = Temperature(reading.value, "C" if reading.unit == "C" else "F")
    return None if read.in_unit("C" if limit.unit == "C" else "F") >= limit.value else clock


def moment_of(reading: Reading, now: datetime) -> datetime:
    """Return when a reading was: as told, else now."""
    return datetime.fromisoformat(reading.said_at) if reading.said_at else now


def _told(request: Request, reading: Reading, clock: RunningClock) -> Answer:
    """Judge one reading of a batch as of the time told, and keep that time."""
    at = moment_of(reading, request.now)
    answer = batch_answer(
        replace(request, now=at, said_at=reading.said_at), clock, reading.value, reading.unit
    )
    drafts = (d.model_copy(update=_told_with(d, reading)) for d in answer.drafts)
    return replace(answer, drafts=tuple(drafts))


def _told_with(draft: Draft, reading: Reading) -> dict[str, str | None]:
    """Return the place and time that were told with a reading of a batch."""
    place = {"place": reading.place} if draft.kind == "reading" else {}
    return {"said_at": reading.said_at or draft.said_at, **place}


def joined(
    talk: Conversation, batches: tuple[Batch, ...], others: Outcome | None, readings: tuple[Reading, ...]
) -> Outcome:
    """Return one outcome for the readings of batches and, said in the same breath, ``others``."""
    slots = Slots(foods=tuple(reading.subject for reading, _ in batches))
    request = talk.request("cooling_check", slots)
    told = [_told(request, reading, clock) for reading, clock in batches]
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
