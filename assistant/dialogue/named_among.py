"""Which of a few places words name: by any part of its name that the others lack, its number or its row.

"The walk-in one, not the ice cream", "three's thirty nine", "the second": what may be meant is known, so
a part of a name tells as much as all of it. What is ruled out ("not the ice cream") leaves the others.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.dialogue.reports.pointed import alike
from intents.language import language
from intents.mentions import READ, Measure, Stretch, Understanding
from intents.quantities import Ordinal, quantities
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from assistant.dialogue.hearing import Heard

OF_PLACES = ("", "number")
"""What an ordinal is said of that may be a place: never "table two"."""
_TWO = 2
_SURELY = 0.5
"""From this share on the net hears a correction (judgement)."""
_NEAR = 2
"""A word of denial stands so near before what it denies ("not the ice cream")."""


@dataclass(frozen=True, slots=True)
class Pointer:
    """Words from ``start`` to ``end`` that name some of the places asked about, or rule them out."""

    start: int
    end: int
    places: frozenset[str]
    denied: bool


def pointers(talk: Conversation, read: Understanding, places: Sequence[str]) -> tuple[Pointer, ...]:
    """Return what in the words names some of ``places``, which stand in the order in which they were told."""
    found, at, before = list[Pointer](), 0, 0
    names = {place: _names(talk, place) for place in places}
    rows = _rows(read, places, talk.interpreter.lexicon.list("batch_one"))
    while at < len(read.words):
        end, meant = rows.get(at) or _longest(talk, read, names, at)
        if end == at:
            at += 1
            continue
        denied = bool({*read.words[max(before, at - _NEAR) : at]} & _denying(talk))
        found.append(Pointer(at, end, frozenset(meant), denied))
        at = before = end
    return tuple(found)


def chosen(found: Sequence[Pointer], places: Sequence[str]) -> frozenset[str]:
    """Return the places that are meant: those named, less those ruled out; else those that are left."""
    named = [pointer.places for pointer in found if not pointer.denied]
    gone = frozenset(place for pointer in found if pointer.denied for place in pointer.places)
    meant = frozenset.intersection(*named) or frozenset.union(*named) if named else frozenset(places)
    return meant - gone if found else frozenset()


def changed(
    talk: Conversation, read: Understanding, readings: Sequence[Reading]
) -> tuple[int, Reading, bool] | None:
    """Return which of ``readings`` a correction names, as it is told to be, and whether all words are known.

    It is named by its place, its row, or the number that it was not ("forget the hundred"); what changes is
    its number, or the number of its place ("or was it the second").
    """
    if read.asks or not readings:
        return None
    subjects = [reading.subject for reading in readings]
    found = pointers(talk, read, subjects)
    inside = {i for pointer in found for i in range(pointer.start, pointer.end)}
    named = {span.value for span in read.names.get("equipment", ()) if span.start not in inside}
    inside |= _of_siblings(talk, read, readings)
    numbers = [m for m in read.free_measures if m.kind in READ and m.start not in inside]
    wrong = _denied_numbers(talk, read)
    told = [m for m in numbers if m.start not in wrong]
    if not numbers and not wrong:
        return _renumbered(talk, read, readings)
    if named - {*subjects} or any(len(m.options) != 1 for m in numbers) or len(told) != 1:
        return None
    value, at = told[0].value, _target(talk, read, readings, found, told[0], {*wrong.values()})
    if at is None:
        return None
    spans: tuple[Stretch, ...] = (*found, *numbers, *read.spans("scratch", "make_that", "no", "not"))
    small = talk.interpreter.lexicon.small("correction_openers", "correction_small", "denying", "read_at")
    return at, replace(readings[at], value=value, bound="", upper=None), read.only(spans, small)


def swapped(
    talk: Conversation, read: Understanding, readings: Sequence[Reading]
) -> tuple[Reading, Reading] | None:
    """Return two readings, each as of the place or food of the other: "other way about"."""
    if len(readings) != _TWO or read.asks or not talk.interpreter.lexicon.says(read.words, "swapped"):
        return None
    one, other = readings
    alike_read = replace(one, subject="", value=other.value) == replace(other, subject="")
    told = {m.value for m in read.free_measures if m.kind in READ and len(m.options) == 1}
    if not alike_read or not told <= {one.value, other.value}:
        return None
    found = changed(talk, read, readings) if told else None
    if found is not None and found[1].value == readings[found[0]].value:
        return None  # so it stands already
    return replace(one, subject=other.subject), replace(other, subject=one.subject)


def corrects(talk: Conversation, heard: Heard) -> bool:
    """True for words that open like a correction, or that the net hears as one."""
    words, lexicon = heard.interpretation.heard.words, talk.interpreter.lexicon
    best = heard.interpretation.best
    surely = best is not None and best.intent == "correction" and best.share >= _SURELY
    opened = {*words[:1]} & lexicon.list("correction_openers")
    return bool(surely or opened or " ".join(words[:2]) in lexicon.list("correction_phrases"))


def _target(
    talk: Conversation,
    read: Understanding,
    readings: Sequence[Reading],
    found: Sequence[Pointer],
    number: Measure,
    wrong: Collection[Decimal],
) -> int | None:
    """Return the one reading that the place right before ``number`` names, or that had the ``wrong`` one."""
    small = talk.interpreter.lexicon.small("read_at", "present_is", "batch_one")
    of = [
        p
        for p in found
        if not p.denied and p.end <= number.start and {*read.words[p.end : number.start]} <= small
    ]
    meant = of[-1].places if of else frozenset[str]()
    if not of and any(not p.denied for p in found):
        return None
    fitting = [
        i
        for i, reading in enumerate(readings)
        if (reading.subject in meant or not of) and (of or reading.value in wrong)
    ]
    return fitting[0] if len(fitting) == 1 else None


def _of_siblings(talk: Conversation, read: Understanding, readings: Sequence[Reading]) -> set[int]:
    """Return where the other numbers of a place are named in more than a bare number: "number two"."""
    numbered = [r.subject for r in readings if r.subject.rpartition(" ")[2].isdecimal()]
    led = numbered_so(talk, read)
    bare = {(m.start, m.end) for m in read.measures if m.start not in led}
    found = pointers(talk, read, alike(talk, numbered[0])) if len(numbered) == 1 else ()
    return {i for p in found if (p.start, p.end) not in bare for i in range(p.start, p.end)}


def numbered_so(talk: Conversation, read: Understanding) -> set[int]:
    """Return where numbers stand that their words make those of a place: "number nine"."""
    led, grammar = talk.interpreter.lexicon.list("numbered_by"), language(read.language).numbers
    words = read.words
    return {i for i in range(1, len(words)) if words[i - 1] in led and grammar.values(words[i : i + 1])}


def _renumbered(
    talk: Conversation, read: Understanding, readings: Sequence[Reading]
) -> tuple[int, Reading, bool] | None:
    """Return the one numbered reading as of another number of its name: "or was it the second"."""
    numbered = [i for i, r in enumerate(readings) if r.subject.rpartition(" ")[2].isdecimal()]
    if len(numbered) != 1:
        return None
    old = readings[numbered[0]]
    others = alike(talk, old.subject)
    found = pointers(talk, read, others)
    meant = {place for p in found if not p.denied and len(p.places) == 1 for place in p.places}
    meant -= {old.subject}
    return (numbered[0], replace(old, subject=meant.pop()), False) if len(meant) == 1 else None


def denies(talk: Conversation, read: Understanding, readings: Sequence[Reading]) -> bool:
    """True where one of the numbers read is said not to be it: "so forget the hundred"."""
    return bool({*_denied_numbers(talk, read).values()} & {reading.value for reading in readings})


def _denied_numbers(talk: Conversation, read: Understanding) -> dict[int, Decimal]:
    """Return the numbers right behind a word of denial and an article at most, by where they stand."""
    grammar, lexicon = language(read.language).numbers, talk.interpreter.lexicon
    found: dict[int, Decimal] = {}
    for at, word in enumerate(read.words[:-1]):
        start = at + 1 + (read.words[at + 1] in lexicon.list("deed_articles"))
        opens = not at and word in lexicon.list("correction_openers")
        if opens or word not in _denying(talk):
            continue
        ways = (read.words[start:], *((one, *read.words[start:]) for one in lexicon.list("deed_one")))
        said = (grammar.numbers_from(way, 0)[:1] for way in ways)
        values = next((each[0][1] for n, each in enumerate(said) if each and each[0][0] > bool(n)), ())
        if len(values) == 1:  # "the hundred" is a hundred
            found[start] = next(iter(values))
    return found


def _denying(talk: Conversation) -> frozenset[str]:
    lexicon = talk.interpreter.lexicon
    return lexicon.list("denying") | lexicon.list("ruling_out")


def _names(talk: Conversation, place: str) -> tuple[tuple[str, ...], ...]:
    return (*talk.interpreter.names_of(place), tuple(talk.site.spoken_name(place).split()))


def _longest(
    talk: Conversation, read: Understanding, names: dict[str, tuple[tuple[str, ...], ...]], at: int
) -> tuple[int, set[str]]:
    """Return where the longest part of a name ends that begins at a word, and whose names have it."""
    small = talk.interpreter.lexicon.small("correction_small", "batch_one")
    best, meant = at, set[str]()
    for end in range(at + 1, len(read.words) + 1):
        part = read.words[at:end]
        has = {place for place, each in names.items() if any(_within(part, name) for name in each)}
        if not has:
            break
        has = {place for place in has if part in names[place]} or has  # "bucket two" of the bucket called so
        if not any(m.start < end < m.end for m in read.measures):  # no "soup one" of "soup's one sixty two"
            best, meant = end, has
    numbers = language(read.language).numbers  # a number alone is told by its row or as one: no "table two"
    telling = any(not numbers.is_number_word(word) for word in {*read.words[at:best]} - small)
    return (best, meant) if telling or at in numbered_so(talk, read) else (at, set())


def _within(part: tuple[str, ...], name: tuple[str, ...]) -> bool:
    return any(name[i : i + len(part)] == part for i in range(len(name) - len(part) + 1))


def _rows(
    read: Understanding, places: Sequence[str], of_one: frozenset[str]
) -> dict[int, tuple[int, set[str]]]:
    """Return where a number or row stands alone ("three's", "the second"), and which place it names."""
    found: dict[int, tuple[int, set[str]]] = {}
    every = quantities(read.words, read.language)
    within = [each for quantity in every for split in quantity.splits[:1] for each in split]
    ordinals = [q for q in within if any(isinstance(m, Ordinal) for m in q.meanings)]
    for quantity in (*every, *ordinals):
        told = [m for m in quantity.meanings if isinstance(m, Ordinal)]
        if any(m.noun not in OF_PLACES for m in told):
            continue
        rows = {value for m in told for value in m.values}
        alone = [m for m in read.measures if (m.start, m.end) == (quantity.start, quantity.end)]
        rows |= {int(m.value) for m in alone if m.kind == "number" and m.value == int(m.value)}
        numbered = {place for place in places for row in rows if place.endswith(f" {row}")}
        in_row = {places[row - 1] for row in rows if 0 < row <= len(places)} if told else set[str]()
        if meant := numbered or in_row:
            one = told and {*read.words[quantity.end : quantity.end + 1]} & of_one  # "the second one"
            found[quantity.start] = quantity.end + bool(one), meant
    return found
