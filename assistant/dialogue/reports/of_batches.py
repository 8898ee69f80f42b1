"""Readings said with words that tell a batch: "big pot of chili sixty five", "the second has nineteen".

The words are left out, the rest is read, and the batch that they mean goes with the reading.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from typing import TYPE_CHECKING

from assistant.dialogue import batches
from assistant.dialogue.hearing import Heard
from assistant.dialogue.judge import judge_reading
from assistant.dialogue.reports.batch_words import BatchWords, batch_words
from assistant.dialogue.reports.said_at import NOW, when
from assistant.dialogue.reports.whose import tells_otherwise, times_told
from assistant.dialogue.topic import Topic, can_be
from assistant.rules.basis import Temperature
from assistant.rules.compare import colder_than
from assistant.rules.cooling import CoolingLimits
from intents.mentions import READ, Understanding
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

Readings = tuple[Reading, ...]
_EARLY = 5
"""So many words may stand before the place where "it" is: behind them another thing is told of."""
_THEN = ("now", "told")
NO_BATCH = -1
"""A reading of food that is told to be of a batch of which no clock runs."""


def readings_of(talk: Conversation, heard: Heard) -> Heard | None:
    """Return the utterance with its readings, each of the batch told; ``None`` where no batch is told.

    Several ways to hear it that make sense stay open.
    """
    read = heard.interpretation
    if read.heard.asks or not batches.cooling(talk, talk.clock.now()):
        return None
    if (standing := _where_it_stands(talk, heard)) is not None:
        return standing
    told = batch_words(read.heard, talk.interpreter.lexicon)
    called = any(way.label for each in told for way in each)  # "chowder a" is no place's
    if read.readings.options and not called and (known := _of_its_food(talk, heard)) is not None:
        return known
    if (read.readings.options or read.asked) and not called:
        return None
    options: list[Readings] = []
    for way in product(*told) if told else ():
        found = _read(talk, read.heard, way)
        options += [each for each in found if each not in options]
    return heard.read_as(*options) if options else None


def _where_it_stands(talk: Conversation, heard: Heard) -> Heard | None:
    """Return "they're all in the walk-in, the middle one's sixty four" as read of the batch, which is there.

    A number that the place itself could well have is asked about.
    """
    read, now, lexicon = heard.interpretation, talk.clock.now(), talk.interpreter.lexicon
    places, words = read.heard.names.get("equipment", ()), read.heard.words
    kept_there = [talk.site.kind_of(span.value) in batches.COOLING_PLACES for span in places]
    if kept_there != [True] or not talk.addressed or tells_otherwise(talk, heard):
        return None
    way = next((w for w in times_told(talk, heard) if all(told.part == "at" for told in w)), ())
    timed = {i for told in way for i in told.words}
    numbers = [m for m in read.heard.free_measures if m.kind in READ and m.start not in timed]
    at = when(way[0], now) if len(way) == 1 else NOW
    foods, place = {span.value for span in read.heard.names.get("food", ())}, places[0]
    before = [i for i in range(place.start) if not any(m.start <= i < m.end for m in numbers)]
    it = bool({words[i] for i in before} & lexicon.list("still_it")) and len(before) < _EARLY
    spoken = foods or {*talk.state.foods(now)} or {""}  # "it" is what was spoken of last, not any batch
    clocks = [c for food in spoken if foods or it for c in batches.cooling(talk, now, food)]
    if len(clocks) != 1 or len(numbers) != 1 or (foods and read.readings.options) or at.kind not in _THEN:
        return None
    said, batch = " ".join(words[numbers[0].start : numbers[0].end]), clocks[0]
    of_batch = talk.interpreter.answer_for("food", batch.food, said).certain
    topic = Topic("food", batch.food, now, True, batch.entry_id)
    its = [replace(r, batch=batch.entry_id, place=place.value, said_at=at.iso) for r in of_batch]
    if len(its) != 1 or not can_be(talk, topic, its[0]):
        return None
    of_place = talk.interpreter.answer_for("equipment", place.value, said).certain
    doubted = [r for r in of_place if not foods and judge_reading(r, talk.site).judgement.passed]
    return heard.read_as((its[0],), *((replace(r, said_at=at.iso),) for r in doubted))


def _of_its_food(talk: Conversation, heard: Heard) -> Heard | None:
    """Return "gravy's ninety five" as read of the gravy that cools, and not of the gravy well in short."""
    read, now = heard.interpretation, talk.clock.now()
    words = read.heard.words
    clocks = [c for c in batches.cooling(talk, now) if set(c.food.split()) <= {*words}]
    if len(clocks) != 1 or read.heard.names.get("equipment") or len(read.readings.options) != 1:
        return None
    option, clock = read.readings.options[0], clocks[0]
    if len(option) != 1 or option[0].subject_kind != "equipment":
        return None
    reading = replace(
        option[0], subject=clock.food, subject_kind="food", measured="food", batch=clock.entry_id
    )
    limit = CoolingLimits.of(talk.site.profile).start
    said = Temperature(reading.value, "C" if reading.unit == "C" else "F")
    if reading.quantity != "temperature" or not colder_than(said, limit):
        return None
    return heard.read_as((reading,))


def _read(talk: Conversation, heard: Understanding, way: tuple[BatchWords, ...]) -> Iterator[Readings]:
    """Read the words from each batch told to the next; the words before the first belong to it."""
    starts = [0, *(each.start for each in way[1:]), len(heard.words)]
    parts: list[list[Reading]] = []
    for told, start, end in zip(way, starts, starts[1:], strict=False):
        before = range(start, told.start)
        while before and heard.words[before[-1]] in talk.interpreter.lexicon.filler:
            before = before[:-1]  # "and the second is"
        rest = heard.said((*before, *range(told.end, end)))
        found = list(_of_one(talk, rest, told))
        if not found:
            return
        parts.append(found)
    yield from product(*parts)


def _of_one(talk: Conversation, words: tuple[str, ...], told: BatchWords) -> Iterator[Reading]:
    """Give the readings that one batch's words can be, with the food named or left out."""
    read = talk.interpreter.readings_of(words) if words else None
    if read is None:
        return
    lexicon, now = talk.interpreter.lexicon, talk.clock.now()
    if read.readings.options:
        for option in read.readings.options:
            if len(option) == 1 and option[0].subject_kind == "food":
                yield from _bound(talk, option[0], told)
        return
    if read.heard.names.get("food") or read.heard.names.get("equipment") or not told.telling:
        return
    clocks = batches.fitting(batches.cooling(talk, now), told, lexicon)
    for clock in clocks:
        for option in talk.interpreter.answer_for("food", clock.food, " ".join(words)).options:
            if len(option) == 1 and batches.may_be_of(talk, option[0], clock):
                yield replace(option[0], batch=clock.entry_id)


def _bound(talk: Conversation, reading: Reading, told: BatchWords) -> Iterator[Reading]:
    """Give a reading with each batch of its food that the words can mean, else as of no batch."""
    clocks = batches.cooling(talk, talk.clock.now(), reading.subject)
    fit = batches.fitting(clocks, told, talk.interpreter.lexicon)
    fit = tuple(clock for clock in fit if batches.may_be_of(talk, reading, clock))
    if not fit and told.telling:
        yield replace(reading, batch=NO_BATCH)
    for clock in fit:
        yield replace(reading, batch=clock.entry_id)
