"""Which of a few places words name: by any part of its name that the others lack, its number or its row.

"The walk-in one, not the ice cream", "three's thirty nine", "the second": what may be meant is known, so
a part of a name tells as much as all of it. What is ruled out ("not the ice cream") leaves the others.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.reports.place_marks import alike
from intents.language import language
from intents.lexicon import Span
from intents.mentions import READ, Measure, Stretch, Understanding
from intents.quantities import Ordinal
from intents.readings import Reading

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


def pointers(
    talk: Conversation, read: Understanding, places: Sequence[str], *, told: bool = False
) -> tuple[Pointer, ...]:
    """Return what in the words names some of ``places``, which stand in the order in which they were told.

    Only among places ``told`` one after the other is there a last one.
    """
    found, at, before = list[Pointer](), 0, 0
    names = {place: _names(talk, place) for place in places}
    of_one = talk.interpreter.lexicon.list("batch_one")
    rows = _rows(read, places, of_one)
    if told:
        last = talk.interpreter.lexicon.list("back_last")
        behind = {at: {*read.words[at + 1 : at + 2]} for at in _where(read, last)}
        ends = {
            at: at + 1 + bool(each & of_one)
            for at, each in behind.items()
            if not each or at + 1 in read.breaks or each & (of_one | talk.interpreter.lexicon.list("read_at"))
        }  # "the last is forty", no "last good at ten"
        rows |= {at: (end, {*places[-1:]}) for at, end in ends.items()}
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
    every = [pointer.places for pointer in found if not pointer.denied]
    named = [
        places for places in every if not any(other < places for other in every)
    ]  # "wells two and three"
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
    found = pointers(talk, read, subjects, told=True)
    inside = _inside(found)
    named = {
        span.value for span in read.names.get("equipment", ())
        if span.start not in inside or _another(talk, span, found)
    }  # fmt: skip
    inside |= _of_siblings(talk, read, readings)
    wrong = [each for each in denied_numbers(talk, read, readings) if each.start not in inside]
    every, anew = _apart(read, wrong)
    numbers = [m for m in every if m.start not in inside]
    told = [m for m in numbers if m.start not in _inside(wrong)]
    if not numbers and not wrong:
        return _renamed(talk, read, readings, found)
    unclear = any(len(m.options) != 1 for m in numbers) or any(each.value is None for each in wrong)
    if named - {*subjects} or unclear or len(told) != 1:
        return None
    values = {each.value for each in wrong if each.value is not None}
    value, at = told[0].value, _target(talk, read, readings, found, told[0], values)
    if at is None:
        return None
    spans: tuple[Stretch, ...] = (*found, *numbers, *read.spans("scratch", "make_that", "no", "not"))
    small = talk.interpreter.lexicon.small("correction_openers", "correction_small", "denying", "read_at")
    plain = not anew and read.only(spans, small)
    return at, replace(readings[at], value=value, bound="", upper=None), plain


def lone_numbers(
    read: Understanding, places: Sequence[str], *, all_of_places: bool = True
) -> tuple[Pointer, ...]:
    """Return the numbers of places, each word one: "two, three and four"; none where one is of no place.

    Not ``all_of_places``: those that stand between other words, the one of "swap one and two".
    """
    grammar, words = language(read.language).numbers, read.words
    beside = {at: (*words[max(0, at - 1) : at], *words[at + 1 : at + 2]) for at, _ in enumerate(words)}
    told = {at: grammar.values((word,)) for at, word in enumerate(words)}
    told = {
        at: each
        for at, each in told.items()
        if each and (all_of_places or not any(map(grammar.is_number_word, beside[at])))
    }
    found = [
        (at, frozenset(p for p in places if any(p.endswith(f" {v:f}") for v in each)))
        for at, each in told.items()
    ]
    if all_of_places and not all(meant for _, meant in found):
        return ()
    return tuple(Pointer(at, at + 1, meant, denied=False) for at, meant in found if meant)


def corrects(talk: Conversation, heard: Heard) -> bool:
    """True for words that open like a correction, or that the net hears as one."""
    words, lexicon = heard.interpretation.heard.words, talk.interpreter.lexicon
    best = heard.interpretation.best
    surely = best is not None and best.intent == "correction" and best.share >= _SURELY
    opened = {*words[:1]} & lexicon.list("correction_openers")
    swapped_so = lexicon.says(words, "swapped")
    return bool(surely or opened or swapped_so or " ".join(words[:2]) in lexicon.list("correction_phrases"))


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
    within = _inside(found)
    of = [
        p
        for p in found
        if not p.denied
        and p.end <= number.start
        and {read.words[i] for i in range(p.end, number.start) if i not in within} <= small
    ]
    behind = (
        small | talk.interpreter.lexicon.list("prepositions") | talk.interpreter.lexicon.list("deed_articles")
    )
    of = of or [
        p
        for p in found
        if not p.denied and number.end <= p.start and {*read.words[number.end : p.start]} <= behind
    ]  # "forty one for the prep cooler"
    if not of and any(not p.denied for p in found):
        return None
    meant = frozenset.intersection(*(p.places for p in of)) if of else frozenset[str]()
    fitting = [
        i
        for i, reading in enumerate(readings)
        if (reading.subject in meant or not of) and (reading.value in wrong or (of and not wrong))
    ]
    return fitting[0] if len(fitting) == 1 else None


def _inside(spans: Iterable[Stretch]) -> set[int]:
    return {i for span in spans for i in range(span.start, span.end)}


def _where(read: Understanding, words: Collection[str]) -> list[int]:
    return [at for at, word in enumerate(read.words) if word in words]


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


def _renamed(
    talk: Conversation, read: Understanding, readings: Sequence[Reading], found: Sequence[Pointer]
) -> tuple[int, Reading, bool] | None:
    """Return the one reading pointed at, or the only one, as of another place: "or was it the second"."""
    subjects = [reading.subject for reading in readings]
    wrong = read.spans("wrong_place", "make_that")
    spans = [s for s in read.names.get("equipment", ()) if not any(s.overlaps(each) for each in wrong)]
    small = talk.interpreter.lexicon.small("correction_openers", "correction_small", "read_at", "batch_one")
    plain = read.only((*found, *spans, *wrong), small)
    states = talk.interpreter.lexicon.list("state_of_place")  # "sorry, the reach-in's down"
    spans = [s for s in spans if plain and not states & {*read.words[s.end : s.end + 1]}]
    others = {s.value for s in spans if _another(talk, s, found) or s.value not in subjects}
    meant = {subject for p in found for subject in p.places if len(p.places) == 1}
    places = [at for at, reading in enumerate(readings) if reading.subject_kind == "equipment"]
    numbered = [at for at in places if subjects[at].rpartition(" ")[2].isdecimal()]
    of = [at for at in places if subjects[at] in meant] if others else numbered
    of = of or (places if others else [])
    if len(of) != 1:
        return None
    old = readings[of[0]]
    if not others:
        siblings = pointers(talk, read, alike(talk, old.subject))
        others = {p for each in siblings if not each.denied and len(each.places) == 1 for p in each.places}
        others -= {old.subject}
    return (of[0], replace(old, subject=others.pop()), False) if len(others) == 1 else None


def denies(talk: Conversation, read: Understanding, readings: Sequence[Reading]) -> bool:
    """True where one of the numbers read is said not to be it: "so forget the hundred"."""
    return any(each.value is not None for each in denied_numbers(talk, read, readings))


@dataclass(frozen=True, slots=True)
class Denied:
    """A number said not to be it; no ``value`` where it is none that was read, or may be two of them."""

    start: int
    end: int
    value: Decimal | None


def denied_numbers(talk: Conversation, read: Understanding, readings: Sequence[Reading]) -> list[Denied]:
    """Return the numbers right behind a word of denial and an article at most.

    It ends where a number that was read does: commas are not heard in "not one fifty, one thirty".
    """
    grammar, lexicon = language(read.language).numbers, talk.interpreter.lexicon
    values, found = {reading.value for reading in readings}, list[Denied]()
    for at, word in enumerate(read.words[:-1]):
        start = at + 1
        opens = not at and word in lexicon.list("correction_openers")
        if opens or word not in _denying(talk):
            continue
        if read.words[start] in lexicon.list("deed_articles") and not grammar.numbers_from(read.words, start):
            start += 1
        ways = grammar.numbers_from(read.words, start)
        for one in () if ways else sorted(lexicon.list("deed_one")):  # "the hundred" is a hundred
            more = grammar.numbers_from((one, *read.words[start:]), 0)
            ways = ways or tuple((start + end - 1, options) for end, options in more if end > 1)
        known = [(end, min(options)) for end, options in ways if len(options) == 1 and options <= values]
        known = [each for each in known if _one_behind(read, each[0])]
        if ways:
            found.append(Denied(start, *(known[0] if len(known) == 1 else (ways[0][0], None))))
    return found


def _one_behind(read: Understanding, at: int) -> bool:
    """True where the number words from ``at`` on are one number, or none stands there."""
    grammar = language(read.language).numbers
    behind = grammar.numbers_from(read.words, at)
    stop = behind[0][0] if behind else at
    return not any(map(grammar.is_number_word, read.words[stop : stop + 1]))


def _apart(read: Understanding, wrong: Sequence[Denied]) -> tuple[list[Measure], bool]:
    """Return the numbers told, read anew behind a denied one that ran into the next, and whether any was."""
    grammar, numbers, anew = language(read.language).numbers, list[Measure](), False
    ends = {m: each.end for m in read.free_measures for each in wrong if m.start < each.end < m.end}
    upto = 0
    for measure in (m for m in read.free_measures if m.kind in READ):
        if measure.start < upto:
            continue
        at, anew = ends.get(measure, upto), anew or measure in ends
        while measure in ends and (here := grammar.numbers_from(read.words, at)):
            numbers.append(Measure("number", tuple(here[0][1]), "", at, here[0][0]))
            at = upto = here[0][0]
        numbers += () if measure in ends else (measure,)
    return numbers, anew


def _another(talk: Conversation, span: Span, found: Sequence[Pointer]) -> bool:
    """True for the whole name of one place that is part of another's: the reach-in, a reach-in freezer."""
    item = talk.site.equipment_by_id(span.value)
    one = item is not None and not (span.value == item.id and item.numbers)
    inside = [p for p in found if (p.start, p.end) == (span.start, span.end)]
    return one and any(span.value not in p.places for p in inside)


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
    every = read.quantities
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
