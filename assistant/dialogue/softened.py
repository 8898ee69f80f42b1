"""A freezer reading told together with how its food feels: "freezer at twenty and the ice cream is soft"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.answer import Answer
from assistant.dialogue.gate import Passage, after_doubtful_word, passage
from assistant.dialogue.hearing import Heard
from assistant.dialogue.judge import judge_reading
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.record import drafts_for
from assistant.dialogue.slots import Slots
from assistant.rules.basis import Temperature, TemperatureUnit
from assistant.rules.holding import judge_frozen
from intents.mentions import Understanding
from intents.readings import Reading, ReadingParse

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

FREEZER = "freezer"
SOFT, SOLID = "soft_word", "solid_word"


def soft(heard: Understanding | Slots) -> bool | None:
    """Return whether frozen food was told to be soft; ``None`` when nothing was told of it."""
    if heard.has(SOFT):
        return True
    return False if heard.has(SOLID) else None


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the outcome of a freezer reading told with the state of its food; ``None`` otherwise."""
    read = heard.interpretation
    if soft(read.heard) is None or len(read.heard.free_measures) != 1:
        return None
    for part, rest in _cuts(read.heard.words):
        readings = talk.interpreter.interpret(part).readings.certain
        told = talk.interpreter.interpret(rest).heard
        if (
            len(readings) == 1
            and talk.site.kind_of(readings[0].subject) == FREEZER
            and _only_state(talk, told)
        ):
            whole = replace(heard, interpretation=replace(read, readings=ReadingParse((readings,))))
            return _take(talk, readings[0], bool(soft(told)), whole)
    return None


def _cuts(words: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    """Return every way to cut a sentence in two, either part first."""
    for at in range(1, len(words)):
        first, second = " ".join(words[:at]), " ".join(words[at:])
        yield first, second
        yield second, first


def _only_state(talk: Conversation, told: Understanding) -> bool:
    """True when nothing was said but food, how it feels, and small words."""
    spans = (*told.names.get("food", ()), *(s for s in told.concepts if s.value in (SOFT, SOLID, "all_food")))
    covered = {i for span in spans for i in range(span.start, span.end)}
    lexicon = talk.interpreter.lexicon
    small = lexicon.filler | lexicon.list("joins")
    return soft(told) is not None and all(i in covered or word in small for i, word in enumerate(told.words))


def _take(talk: Conversation, reading: Reading, is_soft: bool, heard: Heard) -> Outcome:
    gate = passage(heard, (reading,), {reading.subject: FREEZER})
    if gate is Passage.SAY_AGAIN:
        return Outcome(Answer("say_again"), recording.READING, readings=(reading,))
    unsure = after_doubtful_word(heard) or heard.interpretation.heard.has("note_unsure")
    if gate is Passage.ASK or unsure:
        return recording.confirm(talk, (reading,))
    item = judge_reading(reading, talk.site)
    unit: TemperatureUnit = "C" if item.unit == "C" else "F"
    judgement = judge_frozen(Temperature(reading.value, unit), talk.site.profile, frozen_solid=not is_soft)
    item = replace(item, judgement=replace(judgement, reason="soft") if is_soft else judgement)
    return Outcome(
        Answer("pass", sources=judgement.citations),
        recording.READING,
        talk.request(recording.READING, Slots()),
        recording.call_back(talk, item),
        drafts_for((item,), talk.site),
        own_verdict=judgement.verdict,
        readings=(reading,),
    )
