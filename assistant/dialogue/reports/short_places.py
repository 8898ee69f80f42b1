"""Places said in short: "the aft one", "aft thirty eight, forward forty", "quat two" for quat bucket 2.

A short form counts only where it can be one place of this kitchen, or only one that the number makes
sense for; else it is left as it was said, and is asked about.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import product
from typing import TYPE_CHECKING

from assistant.dialogue.gate import fits_place
from assistant.dialogue.hearing import Heard
from intents.language import language
from intents.mentions import Understanding
from intents.words import tokenise

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from assistant.site import Equipment

Words = tuple[str, ...]
_MOST_WAYS = 16


def in_full(talk: Conversation, heard: Heard) -> str | None:
    """Return the words of a report with its short places in full; ``None`` where that reads as no report."""
    read = heard.interpretation
    if read.readings.options or read.asked:
        return None
    words = read.heard.words
    found = list(_found(talk, words, _named(talk, heard)))
    if not found:
        return None
    ways = []
    for names in list(product(*(each[2] for each in found)))[:_MOST_WAYS]:
        said = list(words)
        for (start, end, _), name in sorted(zip(found, names, strict=True), key=lambda x: -x[0][0]):
            said[start:end] = name
        text = " ".join(said)
        if _sensible(talk, text, len(found)):
            ways.append(text)
    return ways[0] if len(ways) == 1 else None


def spelled_out(talk: Conversation, heard: Heard) -> Understanding:
    """Return a correction with short places in full that can be only one ("no, quat two was one fifty")."""
    read = heard.interpretation.heard
    said = list(read.words)
    for start, end, names in reversed(list(_found(talk, read.words, _named(talk, heard)))):
        if len(names) == 1:
            said[start:end] = names[0]
    if tuple(said) == read.words:
        return read
    return talk.interpreter.readings_of(tuple(said)).heard


def meant(talk: Conversation, words: Words, kinds: Iterable[str]) -> tuple[str, ...]:
    """Return the places of some kinds that "the fish one" can mean; for numbered ones, each number."""
    wanted = set(kinds)
    places: list[str] = []
    for _, _, names in _found(talk, words, set(), alone=True):
        for item in talk.site.equipment:
            if tuple(tokenise(item.name)) in names and item.kind in wanted:
                places += [f"{item.id} {number}" for number in item.numbers] or [item.id]
    return tuple(places)


def _named(talk: Conversation, heard: Heard) -> set[int]:
    names = heard.interpretation.heard.names
    return {i for s in names.get("equipment", ()) for i in range(s.start, s.end)}


def _found(
    talk: Conversation, words: Words, named: set[int], *, alone: bool = False
) -> Iterator[tuple[int, int, list[Words]]]:
    """Give where a short name stands, and the full names that it can be."""
    shorts, at = _shorts(talk), 0
    while at < len(words):
        for length in (3, 2, 1):
            said = words[at : at + length]
            items = shorts.get(said, [])
            if not items or named & set(range(at, at + length)):
                continue
            end = _end(talk, words, at, at + length, items, alone=alone)
            if end:
                yield at, end, [tuple(tokenise(item.name)) for item in items]
                at = end - 1
                break
        at += 1


def short_means_else(talk: Conversation, short: Words) -> bool:
    """True for a short name that is a word of something else, too ("holding", "wash")."""
    return any(talk.interpreter.lexicon.finder.find_all(short))


def _numbered(talk: Conversation, following: Words, items: list[Equipment]) -> bool:
    """True where the number of a numbered place follows ("quat two")."""
    values = language(talk.language).numbers.values(following) if following else frozenset()
    return bool(values) and all(min(values) in item.numbers for item in items)


def _end(
    talk: Conversation, words: Words, start: int, end: int, items: list[Equipment], *, alone: bool
) -> int:
    """Return where a short name ends: behind "one", or before a number; 0 where it is none."""
    numbers = language(talk.language).numbers
    pronoun = words[end : end + 1] != () and words[end] in talk.interpreter.lexicon.list("batch_one")
    if pronoun and not any(item.numbers for item in items):
        return end + 1
    if alone:
        return end if end == len(words) else 0
    doubtful = short_means_else(talk, words[start:end]) or any(item.numbers for item in items)
    if doubtful and not _numbered(talk, words[end : end + 1], items):
        return 0
    begins = words[end : end + 1] != () and bool(numbers.numbers_from(words, end))
    told = words[end : end + 1] != () and words[end] in talk.interpreter.lexicon.list("read_at")
    return end if begins or told else 0


def _shorts(talk: Conversation) -> dict[Words, list[Equipment]]:
    """Return the first words of the places' names, and the last one of numbered places, with their places."""
    lexicon = talk.interpreter.lexicon
    never = lexicon.list("short_never") | lexicon.filler | lexicon.links
    nouns = _nouns(talk)
    whole = {tuple(tokenise(name)) for name, _ in talk.site.spoken_equipment()}
    found: dict[Words, list[Equipment]] = {}
    for item in talk.site.equipment:
        for name in (item.name, *item.also):
            words = tuple(tokenise(name))
            noun = 2 if words[-2:] in nouns else 1
            shorts = [words[:-noun]] + ([words[-noun:]] if item.numbers and name == item.name else [])
            for short in shorts:
                counted = any(map(language(talk.language).numbers.is_number_word, short))
                known = short in whole or not short or set(short) & never or counted
                if not known and item not in found.setdefault(short, []):
                    found[short].append(item)
    return {short: items for short, items in found.items() if items}


def _nouns(talk: Conversation) -> set[Words]:
    return {tuple(noun.split()) for noun in talk.interpreter.lexicon.list("place_nouns") if " " in noun}


def _sensible(talk: Conversation, text: str, least: int) -> bool:
    """True when the words read as reports whose numbers make sense for their places."""
    options = talk.interpreter.interpret(text).readings.options
    kinds = {r.subject: talk.site.kind_of(r.subject) for option in options for r in option}
    return any(len(option) >= least and all(fits_place(r, kinds) for r in option) for option in options)
