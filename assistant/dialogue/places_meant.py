"""Which place words mean that only point: "the second one", "both", "the other three", "last freezer".

Pointing words stand for places of a row: those just spoken of, or those that the noun behind them names. They
are read as the names in full, so that nothing below knows of them. What is only likely is guessed, and read
back; where several fit, it is asked which.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assistant.dialogue import candidates, named_among, recording, round_talk, which_place
from assistant.dialogue.gate import fits_place
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.place_rows import Words, by_noun, each_of, whole_place
from assistant.dialogue.reports.fits import JUST_NOW, can_read
from assistant.dialogue.reports.names_told import plurals
from assistant.dialogue.reports.place_marks import alike, families
from assistant.dialogue.topic import Topic, topics
from intents.language import language
from intents.mentions import READ, Understanding
from intents.readings import Reading
from intents.short_names import ORDER

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

POINTING = (*ORDER, "back_last", "back_middle", "points_other", "points_rest", "points_next", "points_all")
"""Lists of words that point into a row of places."""
_SETS = ("points_all", "points_rest")
_TWO, _MOST, _FEW = 2, 8, 10


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
    if (of_food := _of_a_food(talk, read)) is not None:
        return heard, of_food
    if (some := _some_of(talk, heard)) is not None:
        return heard, some
    every = [(way, talk.interpreter.interpret(_named(talk, heard, way))) for way in _ways(talk, heard)]
    ways = [each for each in every if not _twice(each[1].readings.certain)]
    if every and not ways:
        return heard, which_place.which_ones()
    if len(ways) == 1:
        way, full = ways[0]
        guessed = frozenset(place for each in way if each.guessed for place in each.places)
        told = replace(heard, interpretation=full, guessed=guessed)
        several = any(len(each.places) > 1 for each in way) and _numbers(heard, way) == 1
        return told, (_of_each(talk, told, way) or which_place.which_ones()) if several else None
    options = dict.fromkeys(found for _, full in ways if (found := full.readings.certain))
    kinds = {r.subject: talk.site.kind_of(r.subject) for each in options for r in each}
    sensible = tuple(each for each in options if all(fits_place(r, kinds) for r in each))
    if len(sensible) == 1:
        full = next(full for _, full in ways if full.readings.certain == sensible[0])
        return replace(heard, interpretation=full, guessed=frozenset(kinds)), None
    if not 1 < len(sensible) <= _MOST:
        return heard, None
    foods = {tuple(replace(r, place="") for r in each) for each in sensible}
    if len(foods) == 1:  # in which of several places a food is
        return heard, recording.confirm(talk, *foods)
    asked = which_place.between(talk, sensible)[1] or recording.ask_which(talk, sensible)
    shared = tuple(r for r in sensible[0] if all(r in each for each in sensible))
    text = f"{recording.plainly(talk, shared)}. {asked.text}" if shared else asked.text
    return heard, replace(asked, text=text)


def _of_a_food(talk: Conversation, read: Understanding) -> Outcome | None:
    """Read back a number of one of the foods read last that only its row names: "the second one 140"."""
    readings = [candidates.as_read(talk, line) for line in candidates.read_last(talk)]
    several = len({reading.subject for reading in readings}) == len(readings) > 1
    if not several or read.names.get("food") or any(r.subject_kind != "food" for r in readings):
        return None
    told = named_among.changed(talk, read, readings)
    found = told is not None and told[2] and named_among.pointers(talk, read, [r.subject for r in readings])
    return recording.confirm(talk, (replace(told[1], said_at=""),)) if told is not None and found else None


def _twice(readings: Sequence[Reading]) -> bool:
    """True where a place would have two numbers of one measure: one of them is another's."""
    of = [(r.subject, r.unit, r.said_at) for r in readings if r.subject_kind != "food"]
    return len({*of}) < len(of)


def _some_of(talk: Conversation, heard: Heard) -> Outcome | None:
    """Ask which are meant by "two of them are 47", "the rest are 300 except 6": nobody can tell."""
    read = heard.interpretation.heard
    lexicon, grammar, words = talk.interpreter.lexicon, language(talk.language).numbers, read.words
    all_but = any(lexicon.says(words[at:], "all_but") for at in _where(read, lexicon.list("points_rest")))
    some = [
        (at - 1, at + 2 + bool({*words[at + 1 : at + 2]} & lexicon.list("deed_articles")), int(min(counted)))
        for at in _where(read, lexicon.list("deed_of"))
        if at and (counted := {v for v in grammar.values(words[at - 1 : at]) if v in range(1, _FEW)})
        and {*words[at + 1 : at + 3]} & (lexicon.list("part_of_them") | lexicon.list("points_rest"))
    ]  # fmt: skip
    told = any(m.kind in READ for m in read.free_measures) and not read.asks
    row = _spoken(talk, read, 0) if told and (all_but or some) else None
    if row is None or not row.places or read.names.get("food"):
        return None
    rest = all_but or {*words} & lexicon.list("points_rest")
    asked = _of_some(talk, heard, row.places, some[0]) if len(some) == 1 and not rest else None
    return asked or which_place.which_ones()


def _of_some(talk: Conversation, heard: Heard, row: Words, some: tuple[int, int, int]) -> Outcome | None:
    """Ask which of a row a number is of, which waits with all that was told of it; of all it is read back."""
    start, end, many = some
    places = row if many <= len(row) else tuple(alike(talk, row[-1]))
    options = []
    for place in places:
        text = _named(talk, heard, (Meant(start, end, (place,)),))
        told = talk.again(replace(heard, interpretation=talk.interpreter.interpret(text), text=text))
        options.append(told.readings or (told.pending.readings if told.pending is not None else ()))
    if any([r.subject for r in each] != [place] for place, each in zip(places, options, strict=True)):
        return None
    if many == len(places):
        return recording.confirm(talk, tuple(r for each in options for r in each))
    return which_place.which_of(talk, tuple(options)) if len(places) > many else None


def _where(read: Understanding, words: frozenset[str]) -> list[int]:
    return [at for at, word in enumerate(read.words) if word in words]


def _of_each(talk: Conversation, heard: Heard, way: Sequence[Meant]) -> Outcome | None:
    """Read back one number as of each of several places."""
    first, readings = way[0], heard.interpretation.readings.certain
    if len(way) > 1 or len(first.places) < _TWO or [r.subject for r in readings] != [*first.places[:1]]:
        return None
    return recording.confirm(talk, tuple(replace(readings[0], subject=place) for place in first.places))


def _numbers(heard: Heard, way: Sequence[Meant]) -> int:
    """Return how many numbers are told beside the words that point."""
    pointing = {i for each in way for i in range(each.start, each.end)}
    return sum(m.end - 1 not in pointing for m in heard.interpretation.heard.free_measures)


def _named(talk: Conversation, heard: Heard, way: Sequence[Meant]) -> str:
    """Return what was said with names for the words that point; a comma keeps a number of theirs apart.

    Of several places one is named, unless each has a number of its own.
    """
    read, grammar = heard.interpretation.heard, language(talk.language).numbers
    states_several = talk.interpreter.lexicon.list("states_several")
    joins, each_told = min(talk.interpreter.lexicon.list("list_joins")), _numbers(heard, way) > 1
    instead: dict[int, str] = {}
    for each in way:
        named = each.places if each_told else each.places[:1]
        name = f" {joins} ".join(talk.shown(place) for place in named)
        states = {*read.words[each.end : each.end + 1]} & talk.interpreter.lexicon.list("read_at")
        rows = {item.id for _, end, item, _ in plurals(talk, read.words) if end <= each.start}
        if states and _family(each.places[0]) in rows:
            name = each.places[0].split()[-1]  # "low-boys are 38, 39, and the third is unplugged"
        if any(map(grammar.is_number_word, read.words[each.end : each.end + 1])):
            name += f" {min(states_several)}" if len(named) > 1 else ","
        behind = read.words[max(0, each.start - 1) : each.start]
        if any(map(grammar.is_number_word, behind)) and each.end in (len(read.words), *read.breaks):
            name = f"{min(talk.interpreter.lexicon.list('before_place'))} {name}"  # "45 the second"
        instead[each.start] = name
    gone = {i for each in way for i in range(each.start + 1, each.end)}
    they = _where(read, talk.interpreter.lexicon.list("still_it"))
    gone |= {i for i in they for each in way if i + 1 == each.start and len(each.places) > 1}
    starts = {each.start: _family(each.places[0]) for each in way}
    for span in read.names.get("equipment", ()):
        if starts.get(span.end) == span.value:  # "prep bucket, the first one"
            gone |= {*range(span.start, span.end)}
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
    articles = lexicon.list("deed_articles") - lexicon.list("still_it")
    number = any(map(grammar.is_number_word, words[start : start + 1]))  # "forty one, second forty six"
    at = start + bool(not number and {*words[start : start + 1]} & articles)
    kind = next((name for name in POINTING if {*words[at : at + 1]} & lexicon.list(name)), "")
    one = {*words[max(0, at - 1) : at]} & lexicon.list("deed_one") and at not in read.breaks
    if kind in ORDER and one and not any(map(grammar.is_number_word, words[max(0, at - 2) : at - 1])):
        return  # "wait a second, forty seven"
    row = _spoken(talk, read, start) if kind and at not in full else None
    if row is None or (kind == "points_all" and row.here):
        return
    joins, into = lexicon.list("list_joins"), lexicon.list("prepositions")
    before = start - bool({*words[max(0, start - 1) : start]} & into)
    behind = before > 0 and grammar.is_number_word(words[before - 1])  # "minus twenty the second"
    asked = talk.state.pending is not None and talk.state.pending.kind == "choose"
    opens = not start or start in read.breaks or words[start - 1] in joins or kind in _SETS
    opens = opens or (start == 1 and {*words[:1]} <= lexicon.list("deed_articles"))
    opens = opens or (kind in ORDER and grammar.is_number_word(words[start - 1]))  # "third 39 second 40"
    for end, noun, count in _behind(talk, read, at + 1, counted=kind not in ORDER[1:]):
        end_of_it = end + bool({*words[end : end + 1]} & lexicon.list("same_as_before"))
        then = words[end_of_it : end_of_it + 1]
        led = start < at or end > at + 1 or kind in _SETS
        alone = not then or end in read.breaks or {*then} & joins
        states = {*then} & (lexicon.list("read_at") | lexicon.list("plural_each")) - (
            into if not led and kind not in ORDER else set()
        )
        told = states or any(map(grammar.is_number_word, then)) or (noun and read.free_measures)
        aside = led and end in read.breaks and read.free_measures  # "water to the second, it's one ten"
        later = (m for m in read.free_measures if m.start >= end and not read.over_break(end - 1, m.end))
        one = (alone and (behind or asked)) or (count == 1 and any(later))
        beside = (m for m in read.free_measures if m.kind in READ and not start <= m.start < m.end <= end)
        numbered = row.places and all(place[-1].isdecimal() for place in row.places)
        state_of = kind in ORDER and led and states and numbered and not read.measures and not read.asks
        if not (asked or any(beside) or state_of):
            continue  # "the first one is two quarts"
        if (told or aside or one) and (led or opens) and (noun or not row.of_food):
            meant = (Meant(start, end, *each) for each in _of(talk, kind, row, noun, count))
            yield from (each for each in meant if _may_read(talk, read, each))


def _may_read(talk: Conversation, read: Understanding, meant: Meant) -> bool:
    """True where the number right behind pointing words, if one is, can be that of their place."""
    words, ways = read.words, read.numbers_from(meant.end)
    counted = any(m.start == meant.end and m.kind not in READ for m in read.measures)
    if counted and not (ways and _points(talk, words[ways[0][0] :])):
        return False  # "first 38 second 39" tells no span of seconds
    topic = Topic("equipment", meant.places[0], talk.clock.now())
    if not ways:
        return not any(map(language(talk.language).numbers.is_number_word, words[meant.end : meant.end + 1]))
    return any(can_read(talk, (topic,), " ".join(words[meant.end : end])) for end, _ in ways)


def _points(talk: Conversation, words: Words) -> bool:
    """True where words begin with one of order: the second of "first 38 second 39"."""
    return any({*words[:1]} & talk.interpreter.lexicon.list(name) for name in ORDER)


def _behind(
    talk: Conversation, read: Understanding, at: int, *, counted: bool
) -> Iterator[tuple[int, Words, int]]:
    """Give where pointing words may end, with the places that a noun behind them names, and how many.

    "One" belongs to them or to a number: "the second one fifty" is fifty or a hundred and fifty.
    """
    lexicon, grammar, words = talk.interpreter.lexicon, language(talk.language).numbers, read.words
    counts = [int(v) for v in grammar.values(words[at : at + 1]) if v in range(_TWO, _FEW)]
    alone = at + 1 in (len(words), *read.breaks)  # "the other 8"
    each = len([m for m in read.free_measures if m.start >= at])  # "the other two 36 and 46"
    runs_on = counts and each != counts[0] and grammar.numbers_from(words, at)[0][0] > at + 1
    if counted and counts and not (alone or runs_on):
        found = list(by_noun(talk, words, at + 1))
        yield from ((end, places, counts[0]) for end, places in found or [(at + 1, ())])
        return
    if found := list(by_noun(talk, words, at)):
        yield from ((end, places, 0) for end, places in found)
        return
    one = {*words[at : at + 1]} & lexicon.list("batch_one")
    if one:
        yield at + 1, (), 1
    if not one or any(end > at + 1 for end, _ in read.numbers_from(at)):
        yield at, (), 0


@dataclass(frozen=True, slots=True)
class _Row:
    """The places spoken of last, in the order told; ``here``: in this breath, ``of_food``: behind a food."""

    places: Words
    here: bool
    of_food: bool = False


def _spoken(talk: Conversation, read: Understanding, start: int) -> _Row | None:
    """Return the row that words may point into; ``None`` where a food was spoken of since."""
    short, state = talk.interpreter.with_short_places(read).names, talk.state
    spans, foods = short["equipment"], short["food"]
    items = ((s, talk.site.equipment_by_id(s.value)) for s in spans if s.end <= start)
    named = [(s.start, whole_place(talk, s.value) or each_of(item)) for s, item in items if item is not None]
    named += [(at, each_of(item)) for at, end, item, _ in plurals(talk, read.words) if end <= start]
    here = tuple(dict.fromkeys(place for _, places in sorted(named) for place in places))
    inside = {*read.words[max(0, start - 1) : start]} & talk.interpreter.lexicon.list("prepositions")
    if any(food.end <= start for food in foods) and not inside:  # "chicken in the other one"
        return _Row((), here=False, of_food=True)
    if here:
        return _Row(here, here=True)
    if state.foods_at is not None and (state.places_at is None or state.foods_at > state.places_at):
        return None
    read_last = tuple(dict.fromkeys(line.now.subject for line in candidates.read_last(talk)))
    if state.asked_place:
        beside = {*alike(talk, state.asked_place)} - {state.asked_place}
        told = tuple(place for place in read_last if place in beside)
        return _Row(told or (state.asked_place,), here=False)
    lately = state.places_at is not None and talk.clock.now() - state.places_at <= JUST_NOW
    spoken = state.spoken_places if lately else ()
    known = ((place, talk.site.equipment_by_id(place)) for place in spoken)
    whole = tuple(each for p, item in known if item for each in whole_place(talk, p) or each_of(item))
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
        asked = talk.state.asked_place
        several = kind == "points_rest" or count > 1
        if asked in left and not several:
            left = (asked,)
        elif len(spoken) > 1 and not (noun or several or row.here) and (not left or not numbered):
            left = spoken[:-1]  # of two that were told
        if not numbered and not noun:  # another walk-in sooner than another cold place
            left = tuple(p for p in left if _last_word(talk, p) == _last_word(talk, last[0])) or left
        if several:
            yield from ((left, not numbered),) if last and (count or len(left)) == len(left) > 1 else ()
        elif last:
            yield from (((place,), not numbered and len(like) > _TWO) for place in left)
    elif kind in ORDER and count < _TWO:
        by_number = [p for p in like or _numbered(talk) if p.endswith(f" {ORDER.index(kind) + 1}")]
        told = [p for p in spoken if not noun or p in noun]
        known = {_family(place) for place in spoken}
        in_row = len(told) > 1 and (not by_number or len(known) == 1)
        by_row = told[ORDER.index(kind) :][:1] if in_row else []
        yield from (((p,), _family(p) not in known) for p in dict.fromkeys((*by_number, *by_row)))
    elif many := noun if noun and numbered else spoken if len(spoken) > 1 else like if numbered else ():
        if count > 1:
            yield many[:count] if kind == ORDER[0] else many[-count:], kind not in (ORDER[0], "back_last")
        elif kind == "back_last":
            yield many[-1:], many != spoken
        elif len(many) % 2:
            yield many[len(many) // 2 :][:1], many != spoken


def _numbered(talk: Conversation) -> Words:
    return tuple(place for item in families(talk) for place in each_of(item))


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
