"""A food told to be holding, the word said last or with its place: "gravy one forty four holding"."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.slots import Slots
from assistant.dialogue.statements import asks
from intents.readings import ReadingParse

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_CHECK = "holding_check"


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Judge it as held food, at its place if one was said; ``None`` where "holding" was not said of food."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    said = set(read.words) & lexicon.list("holding_words")
    if not said or heard.interpretation.readings.options or asks(read) or read.clocks:
        return None
    if len(read.free_measures) != 1 or len(read.names.get("food", ())) != 1:
        return None
    rest = " ".join(word for word in read.words if word not in said)
    readings = talk.interpreter.interpret(rest).readings.certain
    if len(readings) != 1 or readings[0].subject_kind != "food":
        return None
    if not readings[0].place:
        food, number = read.names["food"][0], read.free_measures[0]
        words = (*read.words[food.start : food.end], *lexicon.list("holding_at"))
        told = " ".join((*words, *read.words[number.start : number.end]))
        return talk.ask(talk.request(_CHECK, Slots.of(talk.interpreter.interpret(told).heard)))
    whole = replace(heard, interpretation=replace(heard.interpretation, readings=ReadingParse((readings,))))
    return recording.take(talk, readings, whole)
