"""Degrees told beside the start of a cooling batch: "it's one thirty five now" may be a time of day."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from assistant.dialogue.answer import Request, answer_function
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.cooling_batch import CHECK, NEAR_NOW
from assistant.dialogue.moments import past_moment
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import render
from assistant.dialogue.statements import asks
from assistant.rules.basis import Temperature
from assistant.rules.cooling import CoolingLimits
from assistant.rules.cooling_curve import below_start
from intents.mentions import Measure, Understanding

HOTTEST_FOOD = 130
"""Celsius; a pot reads no more than this: judgement."""
START_AND_NOW = 2
"""So many clock times may be told of a batch: its start, and one that may be degrees."""
_JUST_BEGUN = timedelta(hours=1)
"""So long ago a batch may have begun that is told as beginning (judgement)."""


def too_hot(temperature: Temperature) -> bool:
    """True for a number that no pot reads: two were heard as one ("since nine, sixty degrees")."""
    return temperature.in_unit("C") > HOTTEST_FOOD


def degrees_of(talk: Conversation, number: Measure) -> Temperature | None:
    unit = number.unit or talk.site.kitchen.units
    return Temperature(number.value, "C" if unit == "C" else "F") if len(number.options) == 1 else None


def told_now(talk: Conversation, request: Request) -> Measure | None:
    """Return the number of "start cooling the chili, it's at one thirty five", which is no time of day.

    It tells what is there now, or the time that it would be is longer ago than a batch begun just now. Behind
    the start ("cooling since two, it's one thirty now") it is the time only where it is that time now.
    """
    heard, clocks = request.slots.heard, request.slots.clocks
    if heard is None or not 1 <= len(clocks) == len(heard.clocks) <= START_AND_NOW:
        return None  # a time by its own words ("quarter to four") was taken before
    at = heard.clocks[-1].start
    bare = [m for m in heard.measures if m.kind == "number" and m.start == at]
    temperature = degrees_of(talk, bare[0]) if bare else None
    if temperature is None or too_hot(temperature):
        return None
    lexicon, ago = talk.interpreter.lexicon, request.now - past_moment(clocks[-1], request.now)
    is_now = {*heard.words[max(0, at - 2) : at]} & lexicon.list("present_is")
    if len(clocks) == START_AND_NOW:
        return bare[0] if is_now and ago > NEAR_NOW else None
    if below_start(temperature, CoolingLimits.of(request.profile).start):
        return None
    begins = lexicon.says(heard.words, "begins_now")
    return bare[0] if ago > _JUST_BEGUN or is_now or begins else None


def with_degrees(request: Request, degrees: Measure) -> Request:
    slots = request.slots
    return replace(
        request, slots=replace(slots, clocks=slots.clocks[:-1], measures=(*slots.measures, degrees))
    )


def or_degrees(talk: Conversation, request: Request, heard: Understanding) -> Outcome | None:
    """Begin the clock of "cooling since one, it's one ten now" and ask whether that was degrees."""
    bare = any(m.kind == "number" and m.start == heard.clocks[1].start for m in heard.measures)
    function = answer_function(request.intent)
    slots = replace(request.slots, clocks=request.slots.clocks[:1])
    answer = function(replace(request, slots=slots)) if bare and function and not asks(heard) else None
    if answer is None:
        return None
    ask = talk.catalogue[CHECK].replies["ask_now"]
    text = f"{render(answer, request.intent, talk.catalogue)} {ask}"
    return Outcome(answer, request.intent, request, text=text)
