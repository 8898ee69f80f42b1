"""The names and numbers of a breath, each in every way that it can be heard, for the solver to match."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.dialogue.candidates import last_of
from assistant.dialogue.gate import fits_place
from assistant.dialogue.hearing import Heard
from assistant.dialogue.implied import TELLING
from assistant.dialogue.reports.between import anew, meant_so, takes_back
from assistant.dialogue.reports.counted import counts, of_all
from assistant.dialogue.reports.fits import Fits, can_read, only_topic, waits_for_number
from assistant.dialogue.reports.matching import solve
from assistant.dialogue.reports.mentioned import (
    DISH_MACHINES,
    Mention,
    implied_by,
    mentioned,
    own_words,
    tool_words,
)
from assistant.dialogue.reports.names_told import key_of, names_told, plurals, without_number
from assistant.dialogue.reports.read_off import Number, read_off
from assistant.dialogue.reports.said_at import when
from assistant.dialogue.reports.shared_out import Key, Name, Solution, Span, Told, family
from assistant.dialogue.reports.times import Place, Way
from assistant.dialogue.reports.whose import of_something_else
from assistant.dialogue.topic import Topic, can_be, topics
from intents.language import language
from intents.lexicon import Lexicon
from intents.lexicon import Span as Concept
from intents.mentions import READ, UNIT_KINDS, Measure, Understanding
from intents.number_roles import words_of_others
from intents.plain_numbers import only_unit
from intents.readings import Reading
from intents.words import tokenise

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

Words = tuple[str, ...]
_MOST_SPOKEN_OF = 4
"""So many things that were spoken of before may be what a number of nothing named is of (judgement)."""
_DIGITS = range(10)
_TWO = 2


@dataclass(frozen=True)
class Matched:
    """The ways to match a breath, the cheapest first, with the reading of each pair; where "the same" is."""

    ways: tuple[Solution, ...]
    readings: dict[tuple[Key, Place | None, Span], tuple[Topic, Reading]]
    same: frozenset[Span]


def matched(talk: Conversation, heard: Heard, way: Way) -> Matched:
    """Return every way to match the names and numbers of a breath in which the times are told so."""
    said, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    words, found = said.words, mentioned(talk, heard, way)
    inside = {i for m in found for i in range(m.start, m.end)}
    implied = [m for m in implied_by(talk, said) if _of_a_chemical(talk, m)] + list(_washes(talk, said))
    found += [m for m in implied if not inside & {*range(m.start, m.end)}]
    found += [m for m in _said_again(talk, words) if not inside & {*range(m.start, m.end)}]
    if found and len(said.free_measures) > 1:
        people = {i for s in said.names.get("person", ()) for i in range(s.start, s.end)}
        taken = {i for m in found for i in range(m.start, m.end)} | {i for told in way for i in told.words}
        found += own_words(talk, said, taken | people)
    cuts = said.breaks
    names = tuple(dict.fromkeys(names_told(talk, said, found, way)))
    of = {key_of(topic): topic for m in found for topic in m.can_be}
    read: dict[tuple[Key, Place | None, Span], tuple[Topic, Reading]] = {}
    cache: dict[tuple[Key, str], tuple[Topic, Reading] | None] = {}
    now, told_unit = talk.clock.now(), only_unit(said)
    unit = next((" ".join(words[s.start : s.end]) for s in said.concepts if _tells(s, told_unit)), "")

    def fits(key: Key, name: Name | None, number: Span) -> Decimal | None:
        of_aspect = name if name is not None and name.aspect else None
        aspect = words[of_aspect.start : of_aspect.end] if of_aspect is not None else ()
        text = " ".join((*aspect, *words[number.start : number.end]))
        if (key, text) not in cache:
            topic = of.get(key) or Topic(
                "food" if key[0] == "food" else "equipment", key[1], now, batch=key[2]
            )
            if number in same:
                can = _as_before(talk, topic, same[number])
            else:
                in_unit = can_read(talk, (topic,), f"{text} {unit}") if unit else ()
                can = tuple(fit for fit in in_unit if fit[1].unit == told_unit and _sensible(talk, fit[1]))
                can = can or can_read(talk, (topic,), text)
            cache[key, text] = can[0] if len(can) == 1 else None
        known = cache[key, text]
        if known is None:
            return None
        where = (of_aspect.start, of_aspect.end) if of_aspect is not None else None
        read[key, where, number] = known
        return known[1].value

    known = topics(talk)
    of |= {key_of(topic): topic for topic in reversed(known)}
    places = {key for name in names for key in name.can_be if key[0] == "equipment"}
    kinds = {key: talk.site.kind_of(key[1]) for key in places}
    gone = _no_readings(talk, heard, way, found)
    same = _same(talk, heard, way, found)
    numbers = (*_numbers(talk, heard, way, found, gone), *same)
    first = min((span.start for span in numbers), default=0)
    numerals = {i for at in range(len(words)) for end, _ in said.numbers_from(at) for i in range(at, end)}
    numerals -= gone | inside  # the "oh" of "oh that's fifty" is none
    small = lexicon.small("read_at", "short_small", "deed_articles", "hesitating", "list_joins", "told_now")
    each = {phrase.split()[0] for phrase in lexicon.list("plural_each")}
    as_one = _at(words, lexicon.list("same_as_before")) & {i - 1 for i in _at(words, lexicon.list("same_as"))}
    timed = sum(told.part == "at" and when(told, now).kind in ("now", "told") for told in way) > 1
    digits = _alone(talk, words, cuts)
    told = Told(
        size=len(words), names=names, numbers=numbers,
        small=_at(words, small), joins=_at(words, lexicon.list("list_joins")),
        states=_at(words, lexicon.list("read_at") - lexicon.list("prepositions")),
        into=_at(words, lexicon.list("prepositions")), each=_at(words, each) | as_one,
        articles=_at(words, lexicon.list("deed_articles")), cuts=cuts,
        spoken_of=_spoken_of(talk, known),
        alone=digits - inside, digits=digits, kinds=kinds, numerals=frozenset(numerals),
        opens=not of_something_else(talk, heard, first),
        resumed=_resumed(words, lexicon),
        opened=bool({*words[:2]} & (lexicon.list("present_is") | lexicon.list("still_it"))),
        fits=fits,
        anew=lambda one, two: anew(talk, words, _number(one), _number(two), timed=timed),
        taken_back=lambda one, two: takes_back(talk, words[one.end : two.start]),
        meant=lambda number, name: meant_so(talk, words[number.end : name.start]),
        topic=lambda number: _topic(talk, words, number),
        same=same, timed=timed, plural=_at(words, lexicon.list("states_several")),
    )  # fmt: skip
    spoken = next((f for topic in known if (f := family(key_of(topic)))), "")
    return Matched(solve(told, spoken), read, frozenset(same))


def _sensible(talk: Conversation, reading: Reading) -> bool:
    return fits_place(reading, {reading.subject: talk.site.kind_of(reading.subject)})


def _tells(span: Concept, unit: str) -> bool:
    return bool(unit) and UNIT_KINDS.get(span.value) == ("temperature", unit)


def _resumed(words: Words, lexicon: Lexicon) -> frozenset[int]:
    """Return where a number is told of what was named before: "..., so it reads forty"."""
    it, reads = lexicon.list("still_it"), lexicon.list("read_at")
    pairs = [{*words[max(0, at - _TWO) : at]} for at in range(len(words))]
    return frozenset(at for at, before in enumerate(pairs) if before & it and before & reads)


def _spoken_of(talk: Conversation, known: tuple[Topic, ...]) -> tuple[Key, ...]:
    """Return what was spoken of lately; beside a read-back what waits for its number."""
    open_ = waits_for_number(talk)
    if open_ is not None:
        return tuple(("equipment", place, 0) for place in open_)
    return tuple(dict.fromkeys((*_asked(talk), *map(key_of, known))))[:_MOST_SPOKEN_OF]


def _topic(talk: Conversation, words: Words, number: Span) -> Key | None:
    """Return what a number of nothing named is of; beside a read-back only what waits for its number."""
    said, open_ = " ".join(words[number.start : number.end]), waits_for_number(talk)
    if open_ is not None:
        can = tuple(Topic("equipment", place, talk.clock.now()) for place in open_)
        return next((key_of(topic) for topic, _ in can_read(talk, can, said)), None)
    topic = only_topic(talk, words, said)
    return key_of(topic) if topic is not None else None


def _same(talk: Conversation, heard: Heard, way: Way, found: list[Mention]) -> dict[Span, Key | None]:
    """Return where "the same" stands for a number, and "same as the walk-in" with whose it is."""
    words, lexicon = heard.interpretation.heard.words, talk.interpreter.lexicon
    small, spans = lexicon.list("same_as") | lexicon.list("deed_articles"), dict[Span, Key | None]()
    told = tuple(read_off(talk, heard, way, _without_numbers(talk, words, found)))
    for number in told:
        if number.same and (sibling := _sibling(talk, words, number.end, found)) is not None:
            spans[Span(number.start, sibling[0])] = sibling[1]
            continue
        other = next((m for m in found if m.start >= number.end and len(m.can_be) == 1), None)
        between = {*words[number.end : other.start]} if other is not None else set[str]()
        if number.same and other is not None and between & lexicon.list("same_as") and between <= small:
            reads = {n.start for n in told if not n.same} & {other.end, other.end + 1}
            if not reads:  # "pastry same as the larder, thirty eight": told of both
                spans[Span(number.start, other.end)] = key_of(other.can_be[0])
        elif number.same:
            spans[Span(number.start, number.end)] = None
    return spans


def _sibling(talk: Conversation, words: Words, at: int, found: list[Mention]) -> tuple[int, Key] | None:
    """Return the end of "same as 1", with the place of that number: a sibling of the one named before."""
    grammar, ends = (
        language(talk.language).numbers,
        {*words[at : at + 1]} & talk.interpreter.lexicon.list("same_as"),
    )
    keys = [key_of(m.can_be[0]) for m in found if m.end <= at and len(m.can_be) == 1]
    kin = next((name for key in reversed(keys) if (name := family(key))), "")
    number = next((int(v) for v in grammar.values(words[at + 1 : at + 2]) if v in _DIGITS), 0)
    place = f"{kin} {number}"
    return (at + 2, ("equipment", place, 0)) if ends and kin and talk.site.kind_of(place) else None


def _as_before(talk: Conversation, topic: Topic, of: Key | None) -> Fits:
    """Return the last reading, or that of the one named, as one of ``topic``."""
    before = last_of(talk, of[1] if of is not None else "")
    if before is None or before.subject_kind != topic.kind:
        return ()
    reading = replace(before, subject=topic.name, place="")
    return ((topic, reading),) if can_be(talk, topic, reading) else ()


def _asked(talk: Conversation) -> tuple[Key, ...]:
    """Return the place that a round asks for."""
    place = talk.state.asked_place
    return (("equipment", place, 0),) if place and talk.site.kind_of(place) else ()


def _alone(talk: Conversation, words: Words, cuts: frozenset[int]) -> frozenset[int]:
    """Return where one digit stands that belongs to no number beside it: "the low one", "forty, and one"."""
    grammar = language(talk.language).numbers
    parted = [not grammar.is_number_word(w) for w in words]
    return frozenset(
        i
        for i, word in enumerate(words)
        if any(value in _DIGITS for value in grammar.values((word,)))
        and (not i or parted[i - 1] or i in cuts)
        and (i + 1 == len(words) or parted[i + 1] or i + 1 in cuts)
    )


def _said_again(talk: Conversation, words: Words) -> Iterator[Mention]:
    """Give the foods that were spoken of before where they are named again: no table needs to know them."""
    for topic in topics(talk):
        name = tuple(tokenise(topic.name)) if topic.kind == "food" else ()
        for at in range(len(words) - len(name) + 1 if name else 0):
            if words[at : at + len(name)] == name:
                yield Mention((topic,), at, at + len(name), food=True)


def _of_a_chemical(talk: Conversation, implied: Mention) -> bool:
    """True for what is measured of dish machines and sanitizers: no "ice" tells a freezer."""
    kinds = {talk.site.kind_of(topic.name) for topic in implied.can_be}
    return all(kind in DISH_MACHINES or kind.startswith("sanitizer") for kind in kinds)


def _washes(talk: Conversation, said: Understanding) -> Iterator[Mention]:
    """Give where "wash" tells what was measured, of the machines that have a wash tank."""
    now = talk.clock.now()
    can = tuple(Topic("equipment", p.id, now) for p in talk.site.places if p.kind in DISH_MACHINES)
    for span in said.spans("measured_wash"):
        known = any(s.start <= span.start and span.end <= s.end for s in said.concepts if s.value in TELLING)
        if can and not known:
            yield Mention(can, span.start, span.end, implied=True)


def _number(span: Span) -> Number:
    return Number(span.start, span.end)


def _at(words: Words, listed: frozenset[str] | set[str]) -> frozenset[int]:
    return frozenset(i for i, word in enumerate(words) if word in listed)


def _numbers(
    talk: Conversation, heard: Heard, way: Way, found: list[Mention], gone: set[int]
) -> Iterator[Span]:
    """Give every run of words that may be one number that was read off."""
    said, words = heard.interpretation.heard, heard.interpretation.heard.words
    read = read_off(talk, heard, way, _without_numbers(talk, words, found))
    spans = {Span(number.start, number.end) for number in read if not (number.same or number.torn)}
    spans |= {Span(at, end) for at in range(len(words)) for end, _ in said.numbers_from(at)}
    free = (s for s in spans if not gone & {*range(s.start, s.end)})
    yield from sorted(free, key=lambda s: (s.start, s.end))


def _no_readings(talk: Conversation, heard: Heard, way: Way, found: list[Mention]) -> set[int]:
    """Return the words of names, times, counts and bounds, the numbers at the end of names left out."""
    said, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    words = said.words
    counted, grammar = lexicon.list("counted_of"), language(talk.language).numbers
    gone = (
        of_all(words, lexicon)
        | tool_words(talk, heard.interpretation.heard)
        | {i for told in way for i in told.words}
    )
    without = _without_numbers(talk, words, found)
    read = {i for n in read_off(talk, heard, way, without) for i in range(n.start, n.end)}
    gone |= {i for m in _measures(talk, said, without, way) for i in range(m.start, m.end)} - read
    gone |= words_of_others(said)
    each = lexicon.list("plural_each")
    for start, end, item, _ in plurals(talk, words):  # "all four drawers", "drawers, all four"
        pairs = ((start - _TWO, start - 1), (end, end + 1))
        told = (at for all_, at in pairs if all_ >= 0 and {*words[all_ : all_ + 1]} & each)
        gone |= {at for at in told if len(item.numbers) in grammar.values(words[at : at + 1])}
    roles = heard.interpretation.meaning.roles
    for m in _measures(talk, said, found, way):
        counted_so = len(roles) == len(words) and counts(said, roles[m.start], m.end)
        put = {*words[m.end - 1 : m.end + 1]} & lexicon.list("prepositions")  # "thirty eight in that order"
        if counted_so or {*words[m.end : m.end + 1]} & counted or (m.kind not in READ and not put):
            gone |= {*range(m.start, m.end)}
    return gone | {i for m in without for i in range(m.start, m.end)}


def _measures(talk: Conversation, said: Understanding, names: list[Mention], way: Way) -> tuple[Measure, ...]:
    named = {i for m in names for i in range(m.start, m.end)} | {i for told in way for i in told.words}
    return talk.interpreter.readings_of(said.masked(named)).heard.measures


def _without_numbers(talk: Conversation, words: Words, found: list[Mention]) -> list[Mention]:
    return [replace(m, end=end) for m in found if (end := without_number(talk, words, m)) > m.start]
