"""What is told of food on its way up: no cooling. "In the oven at nine, 90 by ten, 165 now" reads 165.

Food that is told to have gone into heat is cooked, or reheated where it says so, and its temperatures rise.
The last number is the reading, at the time told with it. Food that only got warmer stood out.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from assistant.dialogue import notes, recording
from assistant.dialogue.cooling_batch import CHECK, NEAR_NOW
from assistant.dialogue.cooling_series import Told, told_in_order
from assistant.dialogue.hearing import Heard
from assistant.dialogue.judge_food import COOKING, ON_THE_FIRE
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.slots import Slots
from assistant.dialogue.topic import without_short
from intents.mentions import READ, Measure, Understanding
from intents.readings import Reading
from intents.series import timed_temperatures

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

BEGIN, _REHEAT, _COOKED = "clock_cooling", "reheat_check", "cook_done"
_SURELY = 0.5
"""Least share of what asks or tells whether food is cooked, where no heat is named (judgement)."""
_AWAY = ("came_off", "note_came_off", "still_cooling", "cool", "cooling_is", "ice_bath")


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Take the last number of one food that gets hotter as its reading; a start without a number is noted."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    foods = without_short(tuple(span.value for span in read.names.get("food", ())))
    series = timed_temperatures(read, lexicon) if len(foods) == 1 and _timed(talk, heard) else ()
    if len(foods) != 1 or not _timed(talk, heard) or read.names.get("equipment"):
        return None
    best = heard.interpretation.meaning.best
    into_heat = _goes_into_heat(talk, read) or (best.intent == _COOKED and best.share >= _SURELY)
    request = talk.request(CHECK, Slots.of(read, heard.interpretation.meaning))
    told = told_in_order(request, series) if series else ()
    if request.slots.said_as("food"):
        return None  # "lentils 136 at 1, barley 138 at 1:30"
    if told is None and into_heat and series[-1].now and not any(each.open for each in series):
        told = told_in_order(request, series[-1:])
    if not series:
        begins = into_heat and best.intent == BEGIN and not _numbers(read)
        return notes.alone(talk, notes.of(talk, " ".join(read.words))) if begins else None
    if not told or not into_heat or not (_rise(told) or len(told) == 1):
        return None
    last = told[-1]
    said_at = "" if request.now - last.at <= NEAR_NOW else last.at.isoformat(timespec="seconds")
    value, unit = last.temperature.value, last.temperature.unit
    reading = Reading(foods[0], "food", value, "temperature", unit, COOKING, said_at=said_at)
    every = frozenset(range(len(read.words)))
    if read.has("reheat") and not said_at:
        number = Measure("temperature", (value,), unit, 0, 1)
        slots = replace(request.slots, foods=foods, measures=(number,), clocks=())
        return replace(talk.ask(replace(request, intent=_REHEAT, slots=slots)), used=every)
    sure = series[-1].now and not said_at
    taken = recording.take(talk, (reading,), heard) if sure else recording.confirm(talk, (reading,))
    return replace(taken, used=every)


def _timed(talk: Conversation, heard: Heard) -> bool:
    """True for what is told, with a time or with "now"."""
    read = heard.interpretation
    return talk.addressed and not read.asked and bool(read.heard.clocks or read.heard.has("now_word"))


def _numbers(read: Understanding) -> list[Measure]:
    """Return the numbers that are no time."""
    timed = {i for clock in read.clocks for i in range(clock.start, clock.end)}
    return [m for m in read.free_measures if m.kind in READ and m.start not in timed]


def _goes_into_heat(talk: Conversation, read: Understanding) -> bool:
    """True for "in the oven" and "reheating", not for what came from it, never went in or is under a lamp."""
    unsaid = map(talk.interpreter.lexicon.list, ("deed_denied", "wished", "deed_hedges"))
    if any(not words.isdisjoint(read.words) for words in unsaid):
        return False
    into = talk.interpreter.lexicon.list("prepositions") | talk.interpreter.lexicon.list("deed_into")
    places, heated = read.spans("place_heat"), read.spans("cook", "reheat")
    lamps = [span for span in places if span.end - span.start > 1]
    led = (s for s in (*places, *heated) if {*read.words[max(0, s.start - 2) : s.start + 1]} & into)
    heat = (s for s in (*led, *read.spans("reheat")) if not any(map(s.overlaps, lamps)))
    return any(heat) and not read.has(*_AWAY)


def _rise(told: tuple[Told, ...]) -> bool:
    """True where it got no colder, to what nothing reads that only was left out."""
    degrees = [each.temperature.in_unit("F") for each in told]
    fell = any(other < one for one, other in pairwise(degrees))
    return not fell and degrees[-1] > ON_THE_FIRE
