"""The places that a noun stands for, and every one of a place that has numbers."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.dialogue.conversation import Conversation
from assistant.site import Equipment

Words = tuple[str, ...]
_LONGEST = 3


def by_noun(talk: Conversation, words: Words, at: int) -> Iterator[tuple[int, Words]]:
    """Give the longest part of places' names that begins at a word, in singular or plural, and the places."""
    if {*words[at : at + 1]} & talk.interpreter.lexicon.list("batch_one"):
        return
    for end in range(min(len(words), at + _LONGEST), at, -1):
        part = words[at:end]
        singular = tuple((*part[:-1], part[-1].removesuffix(tail)) for tail in ("", "s", "es"))
        having = [
            item for item in talk.site.places
            if any(n[-len(p) :] == p for p in singular for n in talk.interpreter.names_of(item.id))
        ]  # fmt: skip
        if having:
            yield end, tuple(place for item in having for place in each_of(item))
            return


def each_of(item: Equipment) -> Words:
    """Return a place, or every number that it has."""
    own = (item.id,) if item.unnumbered or not item.numbers else ()
    return (*own, *(f"{item.id} {number}" for number in item.numbers))


def whole_place(talk: Conversation, place: str) -> Words:
    """Return a place that is named whole; none of whose number is open."""
    item = talk.site.equipment_by_id(place)
    return (place,) if item is not None and place in each_of(item) else ()
