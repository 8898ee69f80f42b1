"""Which place words mean that only point: "the second one", "both", "the other three", "last freezer".

Pointing words stand for places of a row: those just spoken of, or those that the noun behind them names. They
are read as the names in full, so that nothing below knows of them. What is only likely is guessed, and read
back; where several fit, it is asked which.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assistant.dialogue import recording, round_talk, which_place
from assistant.dialogue.gate import fits_place
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.fits import JUST_NOW
from assistant.dialogue.reports.names_told import plurals
from assistant.dialogue.reports.place_marks import alike, families
from assistant.dialogue.topic import topics
from intents.language import language
from intents.mentions import Understanding

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from assistant.site import Equipment

Words = tuple[str, ...]
ORDER = ("back_first", "back_second", "back_third", "back_fourth")
POINTING = (*ORDER, "back_last", "back_middle", "points_other", "points_rest", "points_next", "points_all")
"""Lists of words that point into a row of places."""
_LONGEST, _TWO, _MOST, _FEW = 3, 2, 8, 10


@dataclass(frozen=True, slots=True)
class Meant:
    """Words from ``start`` to ``end`` that stand for all of ``places``; ``guessed``: perhaps for others."""

    start: int
    end: int
    places: tuple[str, ...]
    guessed: bool = False


def resolved(talk: Conversation, heard: Heard) -> tuple[Heard, Outcome | None]:
    """Return an utterance with names for what its words point at, or the question which of several it is."""
    read = heard.interpretation.heard
    if not talk.addressed or not read.words:
        return heard, None
    ways = [(way, talk.interpreter.interpret(_named(talk, heard, way))) for way in _ways(talk, heard)]
    if len(ways) == 1:
        way, full = ways[0]
        guessed = frozenset(place for each in way if each.guessed for place in each.places)
        told = replace(heard, interpretation=full, guessed=guessed)
        return told, _of_each(talk, told, way)
    options = dict.fromkeys(found for _, full in ways if (found := full.readings.certain))
    kinds = {r.subject: talk.site.kind_of(r.subject) for each in options for r in each}
    sensible = tuple(each for each in options if all(fits_place(r, kinds) for r in each))
    if len(sensible) == 1:
        full = next(full for _, full in ways if full.readings.certain == sensible[0])
        return replace(heard, interpretation=full, guessed=frozenset(kinds)), None
    if not 1 < len(sensible) <= _MOST:
        return heard, None
    return heard, which_place.between(talk, sensible)[1] or recording.ask_which(talk, sensible)


def _of_each(talk: Conversation, heard: Heard, way: Sequence[Meant]) -> Outcome | None:
    """Read back one number as of each of several places."""
    first, readings = way[0], heard.interpretation.readings.certain
    if len(way) > 1 or len(first.places) < _TWO or [r.subject for r in readings] != [*first.places[:1]]:
        return None
    return recording.confirm(talk, tuple(replace(readings[0], subject=place) for place in first.places))


def _named(talk: Conversation, heard: Heard, way: Sequence[Meant]) -> str:
    """Return what was said with names for the words that point; a comma keeps a number of theirs apart."""
    read, grammar = heard.interpretation.heard, language(talk.language).numbers
    joins = min(talk.interpreter.lexicon.list("list_joins"))
    pointing = {i for each in way for i in range(each.start, each.end)}
    numbers = sum(m.end - 1 not in pointing for m in read.free_measures)
    instead: dict[int, str] = {}
    for each in way:
        every = each.places if numbers > 1 else each.places[:1]
        name = f" {joins} ".join(talk.shown(place) for place in every)
        states = {*read.words[each.end : each.end + 1]} & talk.interpreter.lexicon.list("read_at")
        rows = {item.id for _, end, item, _ in plurals(talk, read.words) if end <= each.start}
        if states and _family(each.places[0]) in rows:
            name = each.places[0].split()[-1]  # "low-boys are 38, 39, and the third is unplugged"
        if any(map(grammar.is_number_word, read.words[each.end : each.end + 1])):
            name += ","
        instead[each.start] = name
    gone = {i for each in way for i in range(each.start + 1, each.end)}
    return read.part((i for i in range(len(read.words)) if i not in gone), instead)


def _ways(talk: Conversation, heard: Heard) -> list[tuple[Meant, ...]]:
    """Return the ways to name all that points at places; none where nothing does."""
    read = heard.interpretation.heard
    every = talk.interpreter.places.find_all(read.words)
    full = {i for s in every if s.end - s.start > 1 for i in range(s.start, s.end)}
    ways: list[tuple[Meant, ...]] = [()]
    at = 0
    while at < len(read.words):
        each = tuple(dict.fromkeys(_pointed(talk, read, at, full)))
        if each and len(ways) * len(each) <= _MOST:
            ways = [(*way, meant) for way in ways for meant in each]
        at = max((meant.end for meant in each), default=at + 1)
    return [] if ways == [()] else ways


def _pointed(talk: Conversation, read: Understanding, start: int, full: set[int]) -> Iterator[Meant]:
    """Give what may be meant by pointing words that begin at ``start`` and tell whose a number is.

    ``full`` are the words of names: the third of "third sink" points at nothing.
    """
    lexicon, grammar, words = talk.interpreter.lexicon, language(talk.language).numbers, read.words
    at = start + bool({*words[start : start + 1]} & lexicon.list("deed_articles") - lexicon.list("still_it"))
    kind = next((name for name in POINTING if {*words[at : at + 1]} & lexicon.list(name)), "")
    row = _spoken(talk, read, start) if kind and at not in full else None
    if row is None or (kind == "points_all" and row.here):
        return
    before = start - bool({*words[max(0, start - 1) : start]} & lexicon.list("prepositions"))
    behind = before > 0 and grammar.is_number_word(words[before - 1])  # "minus twenty the second"
    asked = talk.state.pending is not None and talk.state.pending.kind == "choose"
    for end, noun, count in _behind(talk, read, at + 1):
        end_of_it = end + bool({*words[end : end + 1]} & lexicon.list("same_as_before"))
        then = words[end_of_it : end_of_it + 1]
        alone = not then or end in read.breaks or {*then} & lexicon.list("list_joins")
        states = {*then} & (lexicon.list("read_at") | lexicon.list("plural_each"))
        told = states or any(map(grammar.is_number_word, then)) or (alone and (behind or asked))
        if told and (start < at or end > at + 1 or kind in ("points_all", "points_rest")):
            yield from (Meant(start, end, *meant) for meant in _of(talk, kind, row, noun, count))


def _behind(talk: Conversation, read: Understanding, at: int) -> Iterator[tuple[int, Words, int]]:
    """Give where pointing words may end, with the places that a noun behind them names, and how many.

    "One" belongs to them or to a number: "the second one fifty" is fifty or a hundred and fifty.
    """
    lexicon, grammar, words = talk.interpreter.lexicon, language(talk.language).numbers, read.words
    counts = [int(v) for v in grammar.values(words[at : at + 1]) if v in range(_TWO, _FEW)]
    if counts and at + 1 not in read.breaks and not grammar.numbers_from(words, at)[0][0] > at + 1:
        found = list(_noun(talk, words, at + 1))
        yield from ((end, places, counts[0]) for end, places in found or [(at + 1, ())])
        return
    if found := list(_noun(talk, words, at)):
        yield from ((end, places, 0) for end, places in found)
        return
    one = {*words[at : at + 1]} & lexicon.list("batch_one")
    if one:
        yield at + 1, (), 1
    if not one or any(end > at + 1 for end, _ in read.numbers_from(at)):
        yield at, (), 0


def _noun(talk: Conversation, words: Words, at: int) -> Iterator[tuple[int, Words]]:
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
            yield end, tuple(place for item in having for place in _each(item))
            return


def _each(item: Equipment) -> Words:
    """Return a place, or every number that it has."""
    own = (item.id,) if item.unnumbered or not item.numbers else ()
    return (*own, *(f"{item.id} {number}" for number in item.numbers))


def _whole(talk: Conversation, place: str) -> Words:
    """Return a place that is named whole; none of whose number is open."""
    item = talk.site.equipment_by_id(place)
    return (place,) if item is not None and place in _each(item) else ()


@dataclass(frozen=True, slots=True)
class _Row:
    """The places spoken of last, in the order in which they were told; ``here``: in the same breath."""

    places: Words
    here: bool


def _spoken(talk: Conversation, read: Understanding, start: int) -> _Row | None:
    """Return the row that words may point into; ``None`` where a food was spoken of since."""
    foods, state = read.names.get("food", ()), talk.state
    spans = talk.interpreter.with_short_places(read).names["equipment"]
    named = [(s.start, _whole(talk, s.value)) for s in spans if s.end <= start]
    named += [(at, _each(item)) for at, end, item, _ in plurals(talk, read.words) if end <= start]
    here = tuple(dict.fromkeys(place for _, places in sorted(named) for place in places))
    if any(food.end <= start for food in foods):
        return None
    if here:
        return _Row(here, here=True)
    if state.foods_at is not None and (state.places_at is None or state.foods_at > state.places_at):
        return None
    if state.asked_place:
        return _Row((state.asked_place,), here=False)
    read_last = tuple(dict.fromkeys(line.now.subject for line in talk.last_readings))
    lately = state.places_at is not None and talk.clock.now() - state.places_at <= JUST_NOW
    spoken = state.spoken_places if lately else ()
    whole = tuple(place for each in spoken for place in _whole(talk, each))
    last = whole if not {*whole} <= {*read_last} or not whole else read_last
    return _Row(last or tuple(t.name for t in topics(talk)[:1] if t.kind == "equipment"), here=False)


def _of(talk: Conversation, kind: str, row: _Row, noun: Words, count: int) -> Iterator[tuple[Words, bool]]:
    """Give the places that pointing words of a kind may mean, and whether they are only guessed."""
    spoken, last = row.places, row.places[-1:]
    like = noun or (tuple(alike(talk, last[0])) if last else ())
    numbered = all(place[-1].isdecimal() for place in like)
    if kind == "points_all" and noun:
        return  # "both freezers" is several of one name
    if kind == "points_all":
        yield from (
            ((each, False)) for each in (spoken, like)[: 1 + numbered] if len(each) == (count or _TWO)
        )
    elif kind == "points_next":
        yield from (((place,), place != talk.state.asked_place) for place in _next(talk, last))
    elif kind in ("points_other", "points_rest"):
        left = tuple(place for place in like if place not in spoken)
        if len(spoken) > 1 and not noun and (not left or not numbered):
            left = spoken[:-1]  # of two that were told
        if not numbered and not noun:  # another walk-in sooner than another cold place
            left = tuple(p for p in left if _last_word(talk, p) == _last_word(talk, last[0])) or left
        if kind == "points_rest" or count > 1:
            yield from ((left, not numbered),) if last and (count or len(left)) == len(left) > 1 else ()
        elif last:
            yield from (((place,), not numbered) for place in left)
    elif kind in ORDER:
        by_number = [p for p in like or _numbered(talk) if p.endswith(f" {ORDER.index(kind) + 1}")]
        told = [p for p in spoken if not noun or p in noun]
        by_row = told[ORDER.index(kind) :][:1] if len(told) > 1 else []
        known = {_family(place) for place in spoken}
        yield from (((p,), _family(p) not in known) for p in dict.fromkeys((*by_number, *by_row)))
    elif many := noun if noun and numbered else spoken if len(spoken) > 1 else like if numbered else ():
        if kind == "back_last":
            yield many[-1:], True
        elif len(many) % 2:
            yield many[len(many) // 2 :][:1], many != spoken


def _numbered(talk: Conversation) -> Words:
    return tuple(place for item in families(talk) for place in _each(item))


def _family(place: str) -> str:
    return place.rstrip("0123456789 ")


def _last_word(talk: Conversation, place: str) -> str:
    return talk.site.spoken_name(place).split()[-1]


def _next(talk: Conversation, last: Words) -> Words:
    """Return the place that a round asks for, else the one behind the last in the order of a round."""
    if talk.state.asked_place:
        return (talk.state.asked_place,)
    here = round_talk.running(talk)
    plans = [here.plan] if here is not None else talk.site.rounds
    places = next((plan.places for plan in plans if {*last} & {*plan.places}), ())
    return tuple(places[places.index(last[0]) + 1 :][:1]) if places else ()
