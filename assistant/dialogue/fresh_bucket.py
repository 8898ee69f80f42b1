"""A bucket told to be fresh and its strength in one breath: "quat bucket two, two hundred, fresh"."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.slots import Slots
from assistant.dialogue.statements import asks
from intents.mentions import Understanding
from intents.readings import ReadingParse

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

FRESH = "fresh_bucket"
_CLOCK = "clock_bucket"


def _at_its_place(talk: Conversation, read: Understanding) -> ReadingParse:
    """Read the one number of "new quat in bucket one, three hundred" at the place named most exactly."""
    named = sorted(read.names.get("equipment", ()), key=lambda s: s.value[-1:].isdigit())
    numbers = [m for m in read.free_measures if m.kind in ("number", "ppm")]
    if not named or len(numbers) != 1 or numbers[0].end != len(read.words):
        return ReadingParse()
    said = " ".join(read.words[numbers[0].start :])
    return talk.interpreter.answer_for("equipment", named[-1].value, said)


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Start the bucket's clock and take its reading; ``None`` where either was not said."""
    read = heard.interpretation.heard
    if not read.has(FRESH) or heard.interpretation.readings.options or asks(read):
        return None
    fresh = {i for s in read.concepts if s.value == FRESH for i in range(s.start, s.end)}
    rest = " ".join(word for i, word in enumerate(read.words) if i not in fresh)
    readings = talk.interpreter.interpret(rest).readings
    readings = readings if readings.options else _at_its_place(talk, read)
    places = {r.subject for option in readings.options for r in option}
    if not places or any(talk.site.kind_of(place) != "sanitizer_bucket" for place in places):
        return None
    whole = replace(
        heard, interpretation=replace(heard.interpretation, readings=ReadingParse(readings.options))
    )
    taken = recording.report(talk, whole)
    if len(places) != 1:
        return taken
    started = talk.ask(talk.request(_CLOCK, replace(Slots.of(read), places=tuple(places))))
    return replace(taken, own_drafts=(*started.drafts, *taken.own_drafts))
