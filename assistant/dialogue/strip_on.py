"""A strip named by its kind with the place where it was dipped: "quat strip on bucket one, two hundred"."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import recording
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.slots import Slots
from assistant.dialogue.statements import asks
from intents.mentions import Understanding

_STRIPS = {"quat_strip": "quat", "chlorine_strip": "chlorine"}
_CHEMICALS = {"quat_word": "quat", "chlorine_word": "chlorine", "iodine_word": "iodine"}
"""Said first, with the place after it: "quat's showing four hundred on the third sink"."""
WRONG_STRIP = "strip_wrong"


def of_another_chemical(talk: Conversation, read: Understanding, place: str) -> bool:
    """True where the words name a chemical, and the place holds another."""
    named = {(_STRIPS | _CHEMICALS)[s.value] for s in read.concepts if s.value in _STRIPS | _CHEMICALS}
    product = talk.site.product_of(place)
    return bool(named) and product is not None and product.kind not in named


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Log what the strip showed; a strip for another chemical shows nothing that counts."""
    read = heard.interpretation.heard
    strips = [s for s in read.concepts if s.value in _STRIPS]
    strips = strips or [s for s in read.concepts if s.value in _CHEMICALS and s.start == 0]
    if not strips or heard.interpretation.readings.options or asks(read):
        return None
    strip = max(strips, key=lambda s: s.end - s.start)
    rest = " ".join((*read.words[: strip.start], *read.words[strip.end :]))
    readings = talk.interpreter.interpret(rest).readings.certain
    if len(readings) != 1 or readings[0].subject_kind != "equipment" or readings[0].quantity != "ppm":
        return None
    product = talk.site.product_of(readings[0].subject)
    if product is None or product.kind != (_STRIPS | _CHEMICALS)[strip.value]:
        if strip.value in _CHEMICALS:
            return None
        return wrong(talk, read, readings[0].subject)
    return recording.take(talk, readings, heard.read_as(readings))


def wrong(talk: Conversation, read: Understanding, place: str) -> Outcome:
    """Say which strip it takes; what is written of a wrong one is written of the place that was named."""
    told = talk.ask(talk.request(WRONG_STRIP, Slots.of(read)))
    if told.answer is None:
        return told
    if not any(span.value in _STRIPS for span in read.concepts):
        return replace(told, answer=replace(told.answer, drafts=()))  # bleach itself may have been meant
    drafts = tuple(
        draft.model_copy(update={"subject": place, "place": place if draft.place else ""})
        for draft in told.answer.drafts
    )
    return replace(told, answer=replace(told.answer, drafts=drafts))
