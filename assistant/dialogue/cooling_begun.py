"""A cooling batch told with its start and what it reads now: "rice cooling since nine, it's ninety now".

The clock begins at the time told and the number is its first reading; neither is lost for the other.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue.answer import answer_function
from assistant.dialogue.clocks import STARTED, RunningClock, clock_draft, running_clock
from assistant.dialogue.cooling_batch import CHECK, judge_batch
from assistant.dialogue.moments import past_moment
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import render
from assistant.dialogue.statements import asks
from assistant.dialogue.talking import talks
from assistant.rules.cooling import CoolingLimits

if TYPE_CHECKING:
    from assistant.dialogue.answer import Request
    from assistant.dialogue.conversation import Conversation
    from intents.mentions import Understanding


@talks("clock_cooling")
def begun(talk: Conversation, request: Request) -> Outcome | None:
    """Judge the number told by the start told; ``None`` leaves a start without a number to its answer."""
    slots = request.slots
    numbers = slots.all_measures("number", "temperature")
    if len(slots.clocks) == 2 and not numbers and slots.heard is not None:
        return _or_degrees(talk, request, slots.heard)
    if len(slots.foods) != 1 or len(slots.clocks) != 1 or len(numbers) != 1 or request.views is None:
        return None
    temperature = slots.temperature(request.site.kitchen.units)
    limit = CoolingLimits.of(request.profile).start
    if temperature is None or slots.heard is None or asks(slots.heard):
        return None
    if temperature.in_unit("C" if limit.unit == "C" else "F") >= limit.value:
        return None
    food, start = slots.foods[0], past_moment(slots.clocks[0], request.now)
    running = running_clock(request.views, request.now, "cooling", food)
    clock = running or RunningClock("cooling", food, start, 0)
    answer = judge_batch(replace(request, slots=replace(slots, clocks=())), clock, temperature)
    drafts = answer.drafts
    if running is None:
        drafts = tuple(draft for draft in drafts if draft.kind != "clock")
        if answer.reply.startswith("batch"):
            drafts = (clock_draft("cooling", food, STARTED, start), *drafts)
    return Outcome(replace(answer, drafts=drafts), CHECK, request)


def _or_degrees(talk: Conversation, request: Request, heard: Understanding) -> Outcome | None:
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
