"""Corrections that refer back to several readings of one breath: "switch those", "the middle one was forty".

Amended only where it is clear which readings are meant; else the places are asked for. What was logged
first stays visible.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.dialogue import recording
from assistant.dialogue.amend import Amendment
from assistant.dialogue.answer import Answer
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.which_place import which_ones
from assistant.logbook.views import Line
from intents.language import language

_TWO = 2
_ORDER = ("first", "second", "third", "fourth")


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the outcome of a correction that refers back; ``None`` for anything else."""
    if heard.interpretation.asked or heard.interpretation.heard.asks:
        return None
    standing = talk.last_readings
    if len(standing) < _TWO:
        return None
    return _swapped(talk, heard, standing) or _one_of(talk, heard, standing)


def _swapped(talk: Conversation, heard: Heard, lines: list[Line]) -> Outcome | None:
    """Exchange the numbers of two readings: the only two, the two named, or the first, middle or last two."""
    words, lexicon = heard.interpretation.heard.words, talk.interpreter.lexicon
    if not set(words) & lexicon.list("swapping") or heard.interpretation.readings.options:
        return None
    named = _named(talk, heard, lines)
    spans = heard.interpretation.heard.names.get("equipment", ())
    covered = {i for s in spans for i in range(s.start, s.end)}
    known = lexicon.small("swapping", "swapped_small")
    known |= {word for name in (*_ORDER, "middle", "last") for word in lexicon.list(f"back_{name}")}
    grammar = language(talk.language).numbers
    if any(i not in covered and w not in known and not grammar.values((w,)) for i, w in enumerate(words)):
        return None  # "switch the lids on those"
    two = named if len(named) == _TWO else lines
    if len(two) != _TWO or not _alike(*two):
        return which_ones()
    return _together(talk, heard, two, (two[1].now.value, two[0].now.value))


def _alike(one: Line, other: Line) -> bool:
    return (one.now.unit, bool(one.now.item)) == (other.now.unit, bool(other.now.item))


def _named(talk: Conversation, heard: Heard, lines: list[Line]) -> list[Line]:
    """Return the lines of the places named, or of the numbers of numbered places ("one and three")."""
    read = heard.interpretation.heard
    places = {span.value for span in read.names.get("equipment", ())}
    found = [line for line in lines if {line.now.subject, line.now.place} & places]
    if found:
        return found
    grammar = language(talk.language).numbers
    told = {int(value) for word in read.words for value in grammar.values((word,)) if value == int(value)}
    numbered = [line for line in lines if line.now.subject.rpartition(" ")[2].isdecimal()]
    return [line for line in numbered if int(line.now.subject.rpartition(" ")[2]) in told]


def _one_of(talk: Conversation, heard: Heard, lines: list[Line]) -> Outcome | None:
    """Correct the one that its place in the row tells: "no, the middle one was one thirty nine"."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    words = read.words
    at = next((i for i, word in enumerate(words) if _index(talk, word, len(lines)) is not None), None)
    if at is None or read.names.get("equipment") or read.names.get("food"):
        return None
    index = _index(talk, words[at], len(lines))
    behind = at + 1 + (words[at + 1 : at + 2] != () and words[at + 1] in lexicon.list("batch_one"))
    values, used = _values(talk, words, behind)
    known = lexicon.small("back_small")
    if any(i not in used and i != at and word not in known for i, word in enumerate(words)):
        return None
    if index is None or len(values) != 1 or len(values[0]) != 1:
        return Outcome(Answer("say_again"), recording.READING, keep_context=True)
    return _together(talk, heard, [lines[index]], (f"{min(values[0])}",))


def _values(talk: Conversation, words: tuple[str, ...], at: int) -> tuple[list[frozenset[Decimal]], set[int]]:
    """Return the numbers from ``at`` on that were not denied, and where all numbers stand."""
    grammar, denying = language(talk.language).numbers, talk.interpreter.lexicon.list("denying")
    values: list[frozenset[Decimal]] = []
    used: set[int] = set()
    while at < len(words):
        here = grammar.numbers_from(words, at)
        if here:
            end, options = here[0]
            used |= set(range(at, end))
            if words[at - 1] not in denying:
                values.append(options)
            at = end
        else:
            at += 1
    return values, used


def _index(talk: Conversation, word: str, count: int) -> int | None:
    """Return which of ``count`` readings a word of order tells, counted from 0, or ``None``."""
    lexicon = talk.interpreter.lexicon
    if word in lexicon.list("back_middle"):
        return count // 2 if count % 2 else None
    order = next((n for n, name in enumerate(_ORDER) if word in lexicon.list(f"back_{name}")), None)
    return order if order is not None and order < count else None


def _together(talk: Conversation, heard: Heard, lines: list[Line], values: tuple[str | None, ...]) -> Outcome:
    """Return one outcome of several corrections; nothing is changed where one of them is in doubt."""
    made = [
        recording.correct(talk, Amendment(Decimal(value or "0")), line, heard)
        for line, value in zip(lines, values, strict=True)
    ]
    if any(not each.own_drafts for each in made):
        return next(each for each in made if not each.own_drafts)
    texts = [str(each.answer.values["call_back"]) for each in made if each.answer is not None]
    answer = made[-1].answer
    assert answer is not None
    return replace(
        made[-1],
        answer=replace(answer, values={"call_back": " ".join(texts)}),
        own_drafts=tuple(draft for each in made for draft in each.own_drafts),
        readings=tuple(reading for each in made for reading in each.readings),
        reading_ids=talk.state.last_reading_ids,
        pending=made[0].pending if len(made) == 1 else None,
    )
