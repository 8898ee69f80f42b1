"""What a request cannot do without and its words tell in short: part of a place's name, the only round."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue.answer import Request
from intents.words import tokenise

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation


def filled(talk: Conversation, request: Request) -> tuple[Request, str]:
    """Return the request with what it lacked, where only one thing can be meant, and what it lacks still."""
    needs = talk.base_catalogue[request.intent].needs
    lacks, slots = request.slots.lacking(needs), request.slots
    if lacks == "equipment" and slots.heard is not None:
        named = talk.interpreter.with_short_places(slots.heard).names["equipment"]
        slots = replace(slots, places=tuple(span.value for span in named))
    if lacks == "round" and (plan := _round(talk, slots.words)):
        slots = replace(slots, rounds=(plan,))
    return replace(request, slots=slots), slots.lacking(needs)


def _round(talk: Conversation, words: tuple[str, ...]) -> str:
    """Return the round of which a word of a name was said ("opening"), or the only one there is."""
    known: dict[str, set[str]] = {}
    for name, plan in talk.site.spoken_rounds():
        for word in tokenise(name):
            known.setdefault(word, set()).add(plan)
    told = {plan for word in words for plan in known.get(word, ()) if len(known[word]) == 1}
    every = told or {plan.id for plan in talk.site.rounds}
    return every.pop() if len(every) == 1 else ""
