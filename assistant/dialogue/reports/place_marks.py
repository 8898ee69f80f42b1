"""Numbers that stand for places: "number two", "two is"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from intents.language import language

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from assistant.site import Equipment
    from intents.mentions import Understanding

_MOST = 9
_TWO = 2


@dataclass(frozen=True)
class Mark:
    """A number that stands for a place, from ``start`` to ``end``; ``plain`` where "number" says so."""

    number: int
    start: int
    end: int
    plain: bool


def families(talk: Conversation) -> list[Equipment]:
    """Return the places of which there are several, by number."""
    return [item for item in talk.site.places if len(item.numbers) > 1]


def opens(talk: Conversation, said: Understanding, at: int) -> bool:
    """True for the two of "one is forty, two is fifty", not the one of "that one is"."""
    lexicon, grammar, words = talk.interpreter.lexicon, language(talk.language).numbers, said.words
    tens = [value for word in words[max(0, at - 1) : at] for value in grammar.values((word,))]
    if any(value in range(20, 100, 10) for value in tens):
        return False  # "forty two at four"
    first = all(
        word in lexicon.list("hesitating") | lexicon.list("correction_openers") for word in words[:at]
    )
    return (
        first
        or at in said.breaks
        or words[at - 1] in lexicon.list("list_joins")
        or grammar.is_number_word(words[at - 1])
    )


def marks(talk: Conversation, said: Understanding) -> Iterator[Mark]:
    """Give the numbers that stand for places in what was said."""
    lexicon, grammar, words = talk.interpreter.lexicon, language(talk.language).numbers, said.words
    at = 0
    while at < len(words):
        told = next((int(v) for v in grammar.values((words[at],)) if v in range(1, _MOST + 1)), 0)
        called = at > 0 and words[at - 1] in lexicon.list("number_word")
        follows = words[at + 1 : at + _TWO]
        if at > 1 and words[at - 1] in lexicon.list("list_joins") and grammar.is_number_word(words[at - 2]):
            told = told if called else 0  # "one and two are at zero" are two
        again = sum(pair == words[at : at + _TWO] for pair in pairwise(words)) > 1
        told = (
            told if called or not again else 0
        )  # "one's one sixty five and one's one fifty" are two of them
        if told and (called or (set(follows) & lexicon.list("read_at") and opens(talk, said, at))):
            yield Mark(told, at - called, at + 1, plain=called)
            at += 1
        at += 1


def alike(talk: Conversation, place: str) -> list[str]:
    """Return the numbers of one name, else all places of one kind."""
    for item in families(talk):
        numbered = [f"{item.id} {number}" for number in item.numbers]
        if place in (every := [*numbered, *([item.id] if item.unnumbered else [])]):
            return every
    kind = talk.site.kind_of(place)
    return [each.id for each in talk.site.places if each.kind == kind and not each.numbers]
