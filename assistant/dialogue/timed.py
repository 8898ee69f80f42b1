"""A reading of a place told with its time of day: that of now is logged, an earlier one is not back-dated."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.cooling_batch import NEAR_NOW
from assistant.dialogue.hearing import Heard
from assistant.dialogue.moments import past_moment
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.slots import Slots
from assistant.dialogue.statements import asks
from intents.readings import ReadingParse

if TYPE_CHECKING:
    from datetime import datetime

    from assistant.dialogue.conversation import Conversation

_BACKDATE = "backdate"


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Take "nine fifteen, walk-in thirty seven" said at that time; else say that nothing is back-dated."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    if heard.interpretation.readings.options or asks(read) or len(read.clocks) != 1:
        return None
    clock = read.clocks[0]
    start, end = clock.start, clock.end
    while start and read.words[start - 1] in lexicon.list("before_time"):
        start -= 1
    while end < len(read.words) and read.words[end] in lexicon.list("after_time"):
        end += 1
    rest = " ".join((*read.words[:start], *read.words[end:]))
    readings = talk.interpreter.interpret(rest).readings.certain
    if not readings or any(r.subject_kind != "equipment" for r in readings):
        return None
    if not _is_now(clock.value, talk.clock.now()):
        places = tuple(r.subject for r in readings)
        return talk.ask(talk.request(_BACKDATE, Slots(places=places, clocks=(clock.value,))))
    whole = replace(heard, interpretation=replace(heard.interpretation, readings=ReadingParse((readings,))))
    return recording.take(talk, readings, whole)


def _is_now(clock: str, now: datetime) -> bool:
    """True for a time just over or just coming: clocks on the wall differ."""
    past = past_moment(clock, now)
    coming = past_moment(clock, now + NEAR_NOW)
    return now - past <= NEAR_NOW or timedelta(0) <= coming - now <= NEAR_NOW
