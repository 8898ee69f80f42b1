"""The names and numbers of a breath, each in every way that it can be heard, for the solver to match."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.dialogue.hearing import Heard
from assistant.dialogue.implied import TELLING
from assistant.dialogue.reports.between import anew
from assistant.dialogue.reports.counted import of_all
from assistant.dialogue.reports.fits import can_read, waits_for_number
from assistant.dialogue.reports.matching import Key, Name, Solution, Span, Told, family, solve
from assistant.dialogue.reports.mentioned import Mention, implied_by, mentioned
from assistant.dialogue.reports.place_marks import families, marks
from assistant.dialogue.reports.read_off import Number, read_off
from assistant.dialogue.reports.times import Way
from assistant.dialogue.reports.whose import of_something_else
from assistant.dialogue.topic import Topic, topics
from intents.language import language
from intents.mentions import READ, Measure, Understanding
from intents.readings import Reading
from intents.words import tokenise

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from assistant.site import Equipment

Words = tuple[str, ...]
_MOST_SPOKEN_OF = 4
"""So many things that were spoken of before may be what a number of nothing named is of (judgement)."""
_LED, _PARTED, _BARE = 0.3, 0.7, 1.2
"""What the number of a place alone costs before "is", behind a comma, and otherwise (judgement)."""
_UNSURE = 0.5
_DIGITS = range(10)
DISH_MACHINES = ("dish_machine_hot", "dish_machine_chemical")


@dataclass(frozen=True)
class Matched:
    """The ways to match a breath, the cheapest first, with the reading of each pair."""

    ways: tuple[Solution, ...]
    readings: dict[tuple[Key, bool, Span], tuple[Topic, Reading]]


def matched(talk: Conversation, heard: Heard, way: Way) -> Matched:
    """Return every way to match the names and numbers of a breath in which the times are told so."""
    said, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    words, found = said.words, mentioned(talk, heard, way)
    inside = {i for m in found for i in range(m.start, m.end)}
    implied = [m for m in implied_by(talk, said) if _of_machines(talk, m)] + list(_washes(talk, said))
    found += [m for m in implied if not inside & {*range(m.start, m.end)}]
    found += [m for m in _said_again(talk, words) if not inside & {*range(m.start, m.end)}]
    cuts = said.breaks
    names = tuple(dict.fromkeys(_names(talk, words, found, way, cuts)))
    of = {_key(topic): topic for m in found for topic in m.can_be}
    read: dict[tuple[Key, bool, Span], tuple[Topic, Reading]] = {}
    cache: dict[tuple[Key, str], tuple[Topic, Reading] | None] = {}
    now = talk.clock.now()

    def fits(key: Key, name: Name | None, number: Span) -> Decimal | None:
        aspect = words[name.start : name.end] if name is not None and name.aspect else ()
        text = " ".join((*aspect, *words[number.start : number.end]))
        if (key, text) not in cache:
            topic = of.get(key) or Topic(
                "food" if key[0] == "food" else "equipment", key[1], now, batch=key[2]
            )
            can = can_read(talk, (topic,), text)
            cache[key, text] = can[0] if len(can) == 1 else None
        known = cache[key, text]
        if known is None:
            return None
        read[key, bool(aspect), number] = known
        return known[1].value

    known = topics(talk)
    of |= {_key(topic): topic for topic in reversed(known)}
    places = {key for name in names for key in name.can_be if key[0] == "equipment"}
    kinds = {key: talk.site.kind_of(key[1]) for key in places}
    gone = _no_readings(talk, heard, way, found)
    numbers = tuple(_numbers(talk, heard, way, found, gone))
    first = min((span.start for span in numbers), default=0)
    grammar = language(talk.language).numbers
    numerals = frozenset(i for i, word in enumerate(words) if grammar.is_number_word(word)) - gone - inside
    small = lexicon.small("read_at", "short_small", "deed_articles", "hesitating", "list_joins", "told_now")
    each = {phrase.split()[0] for phrase in lexicon.list("plural_each")}
    told = Told(
        size=len(words), names=names, numbers=numbers,
        small=_at(words, small), joins=_at(words, lexicon.list("list_joins")),
        states=_at(words, lexicon.list("read_at") - lexicon.list("prepositions")),
        into=_at(words, lexicon.list("prepositions")), each=_at(words, each),
        articles=_at(words, lexicon.list("deed_articles")), cuts=cuts,
        spoken_of=_spoken_of(talk, known),
        alone=_alone(talk, words, cuts), kinds=kinds, numerals=numerals,
        opens=not of_something_else(talk, heard, first),
        opened=bool({*words[:2]} & (lexicon.list("present_is") | lexicon.list("still_it"))),
        fits=fits,
        anew=lambda one, two: anew(talk, words, _number(one), _number(two)),
    )  # fmt: skip
    spoken = next((f for topic in known if (f := family(_key(topic)))), "")
    return Matched(solve(told, spoken), read)


def _spoken_of(talk: Conversation, known: tuple[Topic, ...]) -> tuple[Key, ...]:
    """Return what a number of nothing named may be of; beside a read-back what waits for its number."""
    open_ = waits_for_number(talk)
    if open_ is not None:
        return tuple(("equipment", place, 0) for place in open_)
    return tuple(dict.fromkeys((*_asked(talk), *map(_key, known))))[:_MOST_SPOKEN_OF]


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


def _of_machines(talk: Conversation, implied: Mention) -> bool:
    return all(talk.site.kind_of(topic.name) in DISH_MACHINES for topic in implied.can_be)


def _washes(talk: Conversation, said: Understanding) -> Iterator[Mention]:
    """Give where "wash" tells what was measured, of the machines that have a wash tank."""
    now = talk.clock.now()
    can = tuple(Topic("equipment", p.id, now) for p in talk.site.places if p.kind in DISH_MACHINES)
    for span in said.spans("measured_wash"):
        known = any(s.start <= span.start and span.end <= s.end for s in said.concepts if s.value in TELLING)
        if can and not known:
            yield Mention(can, span.start, span.end, implied=True)


def _key(topic: Topic) -> Key:
    return topic.kind, topic.name, topic.batch


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
    gone = of_all(words, lexicon) | {i for told in way for i in told.words}
    without = _without_numbers(talk, words, found)
    read = {i for n in read_off(talk, heard, way, without) for i in range(n.start, n.end)}
    gone |= {i for m in _measures(talk, said, without, way) for i in range(m.start, m.end)} - read
    each = lexicon.list("plural_each")
    for start, _, item, _ in _plurals(talk, words):  # "all four drawers"
        if (
            start > 1
            and words[start - 2] in each
            and len(item.numbers) in grammar.values((words[start - 1],))
        ):
            gone.add(start - 1)
    roles = heard.interpretation.meaning.roles
    for m in _measures(talk, said, found, way):
        counts = len(roles) == len(words) and roles[m.start] == "count"
        if counts or {*words[m.end : m.end + 1]} & counted or m.kind not in READ:
            gone |= {*range(m.start, m.end)}
    return gone | {i for m in without for i in range(m.start, m.end)}


def _measures(talk: Conversation, said: Understanding, names: list[Mention], way: Way) -> tuple[Measure, ...]:
    named = {i for m in names for i in range(m.start, m.end)} | {i for told in way for i in told.words}
    return talk.interpreter.readings_of(said.masked(named)).heard.measures


def _without_numbers(talk: Conversation, words: Words, found: list[Mention]) -> list[Mention]:
    return [replace(m, end=end) for m in found if (end := _without_number(talk, words, m)) > m.start]


def _without_number(talk: Conversation, words: Words, name: Mention) -> int:
    """Return where a name ends without the number at its end."""
    end = name.end
    while end > name.start and language(talk.language).numbers.is_number_word(words[end - 1]):
        end -= 1
    return end


def _names(
    talk: Conversation, words: Words, found: list[Mention], way: Way, cuts: frozenset[int]
) -> Iterator[Name]:
    grammar, lexicon = language(talk.language).numbers, talk.interpreter.lexicon
    taken = {i for m in found for i in range(m.start, m.end)} | {i for told in way for i in told.words}
    for start, end, item, numbers in _plurals(talk, words):
        listed = any(grammar.is_number_word(word) for word in words[start:end])
        keys = tuple(_of(item, n) for n in numbers if n not in _but(talk, words, end, item))
        yield Name(start, end, keys, several=True, listed=listed, sure=True)
        found = [m for m in found if not start <= m.start < end]
    for m in found:
        keys = tuple(dict.fromkeys(map(_key, m.can_be)))
        numeral = not m.food and grammar.is_number_word(words[m.start])
        sure = not (m.implied or numeral)
        dear = 0.0 if m.sure else 2 * _BARE if numeral else _UNSURE
        yield Name(m.start, m.end, keys, dear, m.implied, sure=sure)
        short = _without_number(talk, words, m)
        if m.start < short < m.end:
            of = next((f for f in families(talk) if f.id == family(keys[0])), None)
            every = tuple(_of(of, n) for n in of.numbers) if of is not None else keys
            yield Name(m.start, short, every, 1.0 if of is not None else 0.0, sure=sure)
        if m.food and (places := _begun(talk, words[m.start : m.end])):
            yield Name(m.start, m.end, places, _UNSURE, sure=sure)
    for at, word in enumerate(words):
        if at in taken and not any(m.start == at and m.end == at + 1 for m in found):
            continue
        led = {*words[_behind_list(talk, words, at) :][:1]} & lexicon.list("read_at")
        cost = _LED if led else _PARTED if at in cuts else _BARE
        for item in families(talk):
            for value in grammar.values((word,)):
                if value in item.numbers:
                    yield Name(at, at + 1, (_of(item, int(value)),), cost, after=item.id)
    for mark in marks(talk, words):
        for item in families(talk):
            if mark.order and mark.number in item.numbers:
                yield Name(mark.start, mark.end, (_of(item, mark.number),), _LED, after=item.id)


def _behind_list(talk: Conversation, words: Words, at: int) -> int:
    """Return where a list of places' numbers ends that begins at ``at``: "three and four are"."""
    grammar, joins = language(talk.language).numbers, talk.interpreter.lexicon.list("list_joins")
    while {*words[at + 1 : at + 2]} & joins and any(
        v in _DIGITS for v in grammar.values(words[at + 2 : at + 3])
    ):
        at += 2
    return at + 1


def _but(talk: Conversation, words: Words, at: int, item: Equipment) -> set[int]:
    """Return the numbers of a family that "except three" takes out of all that were named before."""
    grammar, lexicon = language(talk.language).numbers, talk.interpreter.lexicon
    small = lexicon.small("list_joins", "deed_articles") | set(item.name.split())
    opened = [
        i + n
        for i in range(at, len(words))
        for n in (1, 2)
        if " ".join(words[i : i + n]) in lexicon.list("all_but")
    ]
    found = set[int]()
    for i in opened[:1]:
        for word in words[i:]:
            one = {int(v) for v in grammar.values((word,)) if v in item.numbers}
            if not one and word not in small:
                break
            found |= one
    return found


def _begun(talk: Conversation, words: Words) -> tuple[Key, ...]:
    """Return the places whose names begin with a food: "ice cream" of the ice cream freezer."""
    places = (item for item in talk.site.places if not item.numbers)
    named = (p.id for p in places if tuple(tokenise(p.name))[: len(words)] == words)
    return tuple(("equipment", place, 0) for place in named)


def _of(item: Equipment, number: int) -> Key:
    return "equipment", f"{item.id} {number}", 0


def _plurals(talk: Conversation, words: Words) -> Iterator[tuple[int, int, Equipment, tuple[int, ...]]]:
    """Give where several of one name are told: "drawers", "buckets one through three"."""
    for item in families(talk):
        names = {name for name in talk.interpreter.names_of(item.id) if name}
        plural = {(*n[:-1], f"{n[-1]}{tail}") for n in names for tail in ("s", "es")} - names
        spans = [
            (at, at + len(name))
            for name in plural
            for at in range(len(words) - len(name) + 1)
            if words[at : at + len(name)] == name
        ]
        for start, end in spans:
            if not any(o != (start, end) and o[0] <= start and end <= o[1] for o in spans):
                yield start, *_listed(talk, words, end, item)
        for end in range(len(words) + 1):
            named = max((len(n) for n in names | plural if words[end - len(n) : end] == n), default=0)
            start, numbers = _listed_before(talk, words, end - named, item)
            if named and len(numbers) > 1:
                yield start, end, item, numbers


def _listed_before(
    talk: Conversation, words: Words, end: int, item: Equipment
) -> tuple[int, tuple[int, ...]]:
    """Return where a list of places' numbers in front of their name begins, and them."""
    grammar, joins = language(talk.language).numbers, talk.interpreter.lexicon.list("list_joins")
    found, at = list[int](), end
    while at:
        number = next((int(v) for v in grammar.values((words[at - 1],)) if v in item.numbers), 0)
        if not number or number in found:
            break
        found, at = [number, *found], at - 1
        if not at or words[at - 1] not in joins:
            return (end, ()) if at and grammar.is_number_word(words[at - 1]) else (at, tuple(found))
        at -= 1
    return end, ()


def _listed(
    talk: Conversation, words: Words, end: int, item: Equipment
) -> tuple[int, Equipment, tuple[int, ...]]:
    """Return the end of a list of places' numbers, and them: "one and two", "one to three", else all."""
    grammar, lexicon = language(talk.language).numbers, talk.interpreter.lexicon
    found, at, through, last = list[int](), end, False, end
    while at < len(words):
        number = next((int(v) for v in grammar.values((words[at],)) if v in item.numbers), 0)
        if number and number > max(found, default=0):
            found += range(found[-1] + 1 if through and found else number, number + 1)
            last, through = at + 1, False
        elif words[at] in grammar_ranges(talk):
            through = True
        elif words[at] not in lexicon.list("list_joins"):
            break
        at += 1
    return (last, item, tuple(found)) if len(found) > 1 else (end, item, item.numbers)


def grammar_ranges(talk: Conversation) -> frozenset[str]:
    """Return the words that stand between the first and the last of a row."""
    return frozenset(language(talk.language).numbers.RANGE_WORDS) - talk.interpreter.lexicon.list(
        "list_joins"
    )
