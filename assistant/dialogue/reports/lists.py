"""Numbered places and their numbers in two lists: "drawers one and two at thirty nine and forty"."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.dialogue.answer import plain
from assistant.dialogue.hearing import Heard
from intents.language import language

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

Words = tuple[str, ...]
_MOST = 12


def paired(talk: Conversation, heard: Heard) -> str | None:
    """Return "drawer one thirty nine drawer two forty" for the two lists; ``None`` for anything else."""
    read = heard.interpretation
    words = read.heard.words
    if read.asked:
        return None
    for item in talk.site.places:
        for name in talk.interpreter.names_of(item.id) if len(item.numbers) > 1 else ():
            at = _after_plural(words, name)
            if at and (pairs := _pairs(talk, words, at, item.numbers)):
                return " ".join(f"{item.name} {number} {value}" for number, value in pairs)
    return None


def _after_plural(words: Words, name: Words) -> int:
    """Return where the words go on behind a place's name, said of several ("drawers"), or 0."""
    plural = (*name[:-1], f"{name[-1]}s")
    for at in range(len(words) - len(name)):
        if words[at : at + len(name)] in (name, plural):
            return at + len(name)
    return 0


def _pairs(
    talk: Conversation, words: Words, at: int, numbers: tuple[int, ...]
) -> list[tuple[int, str]] | None:
    """Return each place's number with its value as text; as many of either, at least two."""
    lexicon, grammar = talk.interpreter.lexicon, language(talk.language).numbers
    joins, places = lexicon.list("list_joins"), list[int]()
    while at < len(words) and words[at] not in lexicon.list("read_at"):
        value = min(grammar.values(words[at : at + 1]), default=None)
        if words[at] not in joins:
            if value not in numbers or int(value or 0) > _MOST:
                return None
            places.append(int(value or 0))
        at += 1
    while at < len(words) and words[at] in lexicon.list("read_at") | lexicon.links:
        at += 1
    values: list[Decimal] = []
    while at < len(words):
        if words[at] in joins:
            at += 1
            continue
        found = grammar.numbers_from(words, at)
        if not found or len(found[0][1]) != 1:
            return None
        at = found[0][0]
        values.append(min(found[0][1]))
    if len(places) != len(values) or len(set(places)) < len(places) or len(places) < 2:
        return None
    return [(place, plain(value)) for place, value in zip(places, values, strict=True)]
