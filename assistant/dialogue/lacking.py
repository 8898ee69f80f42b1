"""What a request cannot do without and its words tell in short: part of a place's name, the only round."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue.answer import Request
from assistant.dialogue.slots import Slots
from assistant.dialogue.topic import topics
from intents.words import tokenise

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_FELT = "frozen_check"
"""How the food feels is asked of a freezer only."""


def filled(talk: Conversation, request: Request) -> tuple[Request, str]:
    """Return the request with what it lacked, where only one thing can be meant, and what it lacks still."""
    needs = talk.base_catalogue[request.intent].needs
    lacks = request.slots.lacking(needs)
    slots = told_in_short(talk, request.slots, lacks) if lacks else request.slots
    if lacks == "food" and needs.count("food") == 1 and not slots.said_as("food"):
        spoken = talk.state.foods(talk.clock.now()) if talk.addressed else ()
        slots = replace(slots, foods=spoken if len(spoken) == 1 else ())  # "mark them for two"
    it = {*slots.words} & (
        talk.interpreter.lexicon.list("still_it") | talk.interpreter.lexicon.list("is_that")
    )
    if lacks in ("equipment", "place") and it and not slots.places and not slots.foods:
        last = next((t for t in topics(talk)[:1] if t.kind == "equipment"), None)  # "what was it before"
        fits = last is not None and (request.intent != _FELT or talk.site.kind_of(last.name) == "freezer")
        slots = replace(slots, places=(last.name,)) if last is not None and fits else slots
    if lacks == "round" and not slots.rounds and len(talk.site.rounds) == 1:
        slots = replace(slots, rounds=(talk.site.rounds[0].id,))
    return replace(request, slots=slots), slots.lacking(needs)


def told_in_short(talk: Conversation, slots: Slots, *kinds: str) -> Slots:
    """Return the slots with the place or round that the words name in short, where none is named in full."""
    if {"equipment", "place"} & {*kinds} and not slots.places and slots.heard is not None:
        named = talk.interpreter.with_short_places(slots.heard).names["equipment"]
        slots = replace(slots, places=tuple(span.value for span in named))
    if "round" in kinds and not slots.rounds and (plan := _round(talk, slots.words)):
        slots = replace(slots, rounds=(plan,))
    return slots


def _round(talk: Conversation, words: tuple[str, ...]) -> str:
    """Return the round of whose name alone a word was said ("opening"), or an empty string."""
    known: dict[str, set[str]] = {}
    for name, plan in talk.site.spoken_rounds():
        for word in tokenise(name):
            known.setdefault(word, set()).add(plan)
    told = {plan for word in words for plan in known.get(word, ()) if len(known[word]) == 1}
    return told.pop() if len(told) == 1 else ""
