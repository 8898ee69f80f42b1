"""Numbered places without their name, or several at once, read as if each had been named.

"Number two sixty five", "one's three twenty, two's three ten", "minus nineteen the first and minus twenty
the second", "freezers minus eighteen and minus twenty", "freezers minus twenty both". The places are those
of the round that runs, or of what was read or asked just before; where nothing tells, any with that number.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from assistant.dialogue import recording, round_talk, which_place
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports import take
from assistant.dialogue.reports.place_marks import Mark, families, marks
from intents.language import language
from intents.mentions import Understanding
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from assistant.site import Equipment

Words = tuple[str, ...]
_MOST = 9
_TWO = 2


def report(talk: Conversation, heard: Heard) -> tuple[Heard, Outcome] | None:
    """Return what is done with a report of numbered places, and the utterance as read, or ``None``."""
    read = heard.interpretation
    if read.asked or read.readings.options or not read.heard.measures:
        return None
    if (each := _of_each(talk, read.heard)) is not None:
        return _taken(talk, heard, each) if each else (heard, which_place.which_ones())
    found = tuple(marks(talk, read.heard.words))
    if not found:
        return None
    known = _talked_of(talk)
    for family in known:
        if options := _options(talk, read.heard, found, family):
            return _taken(talk, heard, options)
    if known or not all(mark.plain for mark in found):
        return None
    every = tuple(o for family in families(talk) for o in _options(talk, read.heard, found, family))
    if len(every) == 1:
        return heard, recording.confirm(talk, every[0])
    return _taken(talk, heard, every) if every else None


def _taken(
    talk: Conversation, heard: Heard, options: tuple[tuple[Reading, ...], ...]
) -> tuple[Heard, Outcome]:
    full = heard.read_as(*options)
    return full, recording.report(talk, round_talk.refined(talk, full))


def _talked_of(talk: Conversation) -> list[Equipment]:
    """Return the numbered places that are spoken of: asked in the round, else read just before."""
    places = [talk.state.asked_place]
    here = round_talk.running(talk)
    if here is not None:
        places += here.left
    if talk.state.recent(talk.clock.now()):
        places += [line.now.subject for line in talk.last_lines]
        places += talk.state.last_request.slots.places if talk.state.last_request is not None else ()
    of = {f"{item.id} {n}": item for item in families(talk) for n in item.numbers}
    return list({of[place].id: of[place] for place in places if place in of}.values())


def _options(
    talk: Conversation, heard: Understanding, marked: tuple[Mark, ...], family: Equipment
) -> tuple[tuple[Reading, ...], ...]:
    """Return how the words read with the places of a family; none where a number is not of it."""
    if any(mark.number not in family.numbers for mark in marked):
        return ()
    numbers, places = language(talk.language).numbers, {f"{family.id} {mark.number}" for mark in marked}
    before = tuple(sorted(talk.interpreter.lexicon.list("prepositions")))[:1]
    words, said = heard.words, heard.said(range(len(heard.words)))
    for mark in reversed(marked):
        behind = mark.start and numbers.is_number_word(words[mark.start - 1 - (not mark.plain)])
        name = (*(before if behind else ()), *family.name.split(), str(mark.number))
        said = (*said[: mark.start], *name, *said[mark.end :])
    found = talk.interpreter.readings_of(said).readings.options
    return tuple(o for o in found if places <= {r.subject for r in o} and take.sensible(talk, o))


def _of_each(talk: Conversation, heard: Understanding) -> tuple[tuple[Reading, ...], ...] | None:
    """Read the numbers of a family named as several, each in turn or one for both, among other readings.

    Nothing where one number was told of more than two: each place has its own.
    """
    for family in families(talk):
        for start, end in _several_named(talk, heard.words, family):
            said = _in_turn(talk, heard, start, end, family)
            if said is None:
                return ()
            found = talk.interpreter.readings_of(said).readings.options if said else ()
            numbered = (o for o in found if family.id not in {r.subject for r in o})
            if options := tuple(o for o in numbered if take.sensible(talk, o)):
                return options
    return None


def _several_named(talk: Conversation, words: Words, family: Equipment) -> Iterator[tuple[int, int]]:
    """Give where "freezers" stands; as many numbers behind "freezer" tell of several, too."""
    for name in talk.interpreter.names_of(family.id):
        if len(name) > 1 and name[0] not in words:
            continue
        for said in {name, (*name[:-1], f"{name[-1]}s"), (*name[:-1], f"{name[-1]}es")}:
            for at in range(len(words) - len(said)):
                if words[at : at + len(said)] == said:
                    yield at, at + len(said)


def _in_turn(
    talk: Conversation, heard: Understanding, start: int, end: int, family: Equipment
) -> Words | None:
    """Return the words with each place before its number; nothing where they are not as many.

    ``None`` where one number is told of more than two, or of both where there are others.
    """
    words, lexicon, grammar = heard.words, talk.interpreter.lexicon, language(talk.language).numbers
    joins, small = lexicon.list("list_joins"), lexicon.list("read_at") | lexicon.links
    values, at, last = list[Words](), end, end
    listed, at = _listed(talk, words, end, family)
    first = _of_all_from(talk, words, start, family)
    of_all = first < start
    while at < len(words):
        found = heard.numbers_from(at)
        if found:
            if values and at == last and at not in heard.breaks and grammar.values((words[at],)):
                return ()  # "two hundred two fifty": where one number ends is not heard
            values.append(words[at : found[0][0]])
            at = last = found[0][0]
        elif words[at] in (joins if values else small):
            at += 1
        else:
            break
    if values and not listed and _place_numbers(talk, values[0], words[end - 1], family):
        return ()
    meant = listed or _meant(talk, family)
    if of_all and len(values) == 1 and first == 0 and last == len(words) and len(meant) != _TWO:
        return None
    if of_all and len(values) == 1 and len(meant) == _TWO:
        values = values * _TWO
    if len(values) != len(meant):
        return ()
    named = ((*family.name.split(), str(n), *value) for n, value in zip(meant, values, strict=True))
    return (*words[:first], *(word for one in named for word in one), *words[last:])


def _listed(talk: Conversation, words: Words, at: int, family: Equipment) -> tuple[tuple[int, ...], int]:
    """Return the places' numbers behind a name and their end: "drawers one and two at thirty nine and forty".

    None where no "at" or "are" ends them: they are read then.
    """
    lexicon, grammar = talk.interpreter.lexicon, language(talk.language).numbers
    found, end = list[int](), at
    while end < len(words) and words[end] not in lexicon.list("read_at"):
        value = next((int(v) for v in grammar.values((words[end],)) if v in family.numbers), 0)
        if value and value not in found:
            found.append(value)
        elif words[end] not in lexicon.list("list_joins"):
            return (), at
        end += 1
    return (tuple(found), end) if len(found) > 1 and end < len(words) else ((), at)


def _of_all_from(talk: Conversation, words: Words, start: int, family: Equipment) -> int:
    """Return where "both of the" or "all three" in front of a name begins; ``start`` where nothing does."""
    lexicon, grammar = talk.interpreter.lexicon, language(talk.language).numbers
    each = {tuple(phrase.split()) for phrase in lexicon.list("plural_each")}
    at = found = start
    while at:
        if n := next((n for n in (2, 1) if n <= at and words[at - n : at] in each), 0):
            return at - n
        of_all = len(family.numbers) in grammar.values((words[at - 1],))
        if of_all and at == start and not any(map(grammar.is_number_word, words[at - _TWO : at - 1])):
            found = at - 1  # "the two buckets are ..."
        if words[at - 1] not in lexicon.filler and not of_all:
            break
        at -= 1
    return found


def _place_numbers(talk: Conversation, first: Words, noun: str, family: Equipment) -> bool:
    """True for "freezers one and two" and "freezer three and zero", whose first number is a place's."""
    values = language(talk.language).numbers.values(first)
    singular = any(name[-1] == noun for name in talk.interpreter.names_of(family.id))
    return any(value in (range(1, _MOST + 1) if singular else family.numbers) for value in values)


def _meant(talk: Conversation, family: Equipment) -> tuple[int, ...]:
    """Return the numbers of a family that are left in the round, where it asks several of them, else all."""
    here = round_talk.running(talk)
    left = here.left if here is not None else ()
    asked = tuple(n for n in family.numbers if f"{family.id} {n}" in left)
    return asked if len(asked) > 1 else family.numbers
