"""Places named in short: "the drawer" of a fish drawer, "trolley two" of hot trolley two.

The table is made of the site's own names: an ending that only one place has names that place.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from intents.language import language
from intents.lexicon import Span
from intents.mentions import Understanding
from intents.words import tokenise

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

Words = tuple[str, ...]


def in_short(talk: Conversation, read: Understanding) -> tuple[Span, ...]:
    """Return the places that are named in short in ``read`` and stand for one place of the site each."""
    endings, openings = _table(talk)
    named = {i for s in read.names.get("equipment", ()) for i in range(s.start, s.end)}
    foods = {i for s in read.names.get("food", ()) for i in range(s.start, s.end)}
    found: list[Span] = []
    at = 0
    while at < len(read.words):
        span = None
        if at not in named:
            span = _ending(talk, read.words, at, endings) or _opening(read.words, at, openings)
        if span is not None and (span.end > span.start + 1 or at not in foods or read.words[at] in openings):
            found.append(span)
        at = span.end if span is not None else at + 1
    return tuple(found)


def _ending(talk: Conversation, words: Words, at: int, endings: dict[Words, set[str]]) -> Span | None:
    articles = talk.interpreter.lexicon.list("deed_articles")
    for length in (3, 2, 1):
        places = endings.get(words[at : at + length], set()) if at + length <= len(words) else set()
        if len(places) == 1 and (length > 1 or (at and words[at - 1] in articles)):
            return Span("equipment", next(iter(places)), at, at + length)
    return None


def _opening(words: Words, at: int, openings: dict[str, set[tuple[str, str]]]) -> Span | None:
    """Return the first of "the dairy and salad fridges"; the last is named by both of its words."""
    said = openings.get(words[at], set())
    places = {place for place, noun in said if noun in words[at + 1 : at + 4]}
    return Span("equipment", next(iter(places)), at, at + 1) if len(places) == 1 else None


def _table(talk: Conversation) -> tuple[dict[Words, set[str]], dict[str, set[tuple[str, str]]]]:
    endings: dict[Words, set[str]] = {}
    openings: dict[str, set[tuple[str, str]]] = {}
    for name, place in _names(talk):
        for start in range(len(name)):
            endings.setdefault(name[start:], set()).add(place)
        if len(name) > 1:
            openings.setdefault(name[0], set()).add((place, name[-1]))
    small = talk.interpreter.lexicon.filler | talk.interpreter.lexicon.links
    numbers = language(talk.language).numbers
    known = {e: p for e, p in endings.items() if not all(w in small or numbers.is_number_word(w) for w in e)}
    return known, openings


def _names(talk: Conversation) -> Iterator[tuple[Words, str]]:
    """Give the names of the site's places, in the plural, too: "the dairy and salad fridges"."""
    for name, place in talk.site.spoken_equipment():
        words = tokenise(name)
        yield words, place
        if not words[-1].isdigit():
            yield (*words[:-1], f"{words[-1]}s"), place
