"""The names of a breath, each in every way that it can be heard: in full, by a number, several at once."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from assistant.dialogue.reports.mentioned import Mention, with_one
from assistant.dialogue.reports.place_marks import families
from assistant.dialogue.reports.shared_out import Key, Name, family
from assistant.dialogue.reports.times import Way
from assistant.dialogue.topic import Topic
from intents.language import language
from intents.mentions import Understanding
from intents.siblings import stands_for_a_thing
from intents.words import tokenise

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from assistant.site import Equipment

Words = tuple[str, ...]
_LED, _PARTED, _BARE = 0.3, 0.7, 1.2
"""What the number of a place alone costs before "is", behind a comma, and otherwise (judgement)."""
_UNSURE, _OWN, _ROW = 0.5, 0.2, 0.3
"""What a name costs that may be none, a cook's own, and one name for several in a row (judgement)."""
_DIGITS, _TEN, _TWO = range(10), 10, 2


def names_told(talk: Conversation, said: Understanding, found: list[Mention], way: Way) -> Iterator[Name]:
    words, grammar, lexicon = said.words, language(talk.language).numbers, talk.interpreter.lexicon
    taken = {i for m in found for i in range(m.start, m.end)} | {i for told in way for i in told.words}
    for start, end, item, numbers in plurals(talk, words):
        listed = any(grammar.is_number_word(word) for word in words[start:end])
        keys = tuple(_of(item, n) for n in numbers if n not in _but(talk, words, end, item))
        yield Name(start, end, keys, several=True, listed=listed, sure=True)
        found = [m for m in found if not start <= m.start < end]
    for start, end, keys in of_a_kind(talk, words):
        yield Name(start, end, keys, several=True, listed=True, sure=True)
        found = [m for m in found if not start <= m.start < end]
    for m in found:
        keys = tuple(dict.fromkeys(map(key_of, m.can_be)))
        numeral = not m.food and grammar.is_number_word(words[m.start])
        sure = not (m.implied or numeral or (m.food and not m.sure))
        dear = 0.0 if m.sure else 2 * _BARE if numeral else _OWN if m.food else _UNSURE
        end = m.end + (len(keys) == 1 and with_one(talk, words, m))
        yield Name(m.start, end, keys, dear, m.implied, sure=sure)
        row = any({_of(item, n) for n in item.numbers} == {*keys} for item in families(talk))
        if row and not m.implied and not any(0 < v < _TEN for v in grammar.values(words[m.end : m.end + 1])):
            yield Name(m.start, m.end, keys, _ROW, several=True, sure=sure)  # "freezer ten and twelve"
        short = without_number(talk, words, m)
        if m.start < short < m.end:
            of = next((f for f in families(talk) if f.id == family(keys[0])), None)
            every = tuple(_of(of, n) for n in of.numbers) if of is not None else keys
            yield Name(m.start, short, every, 1.0 if of is not None else 0.0, sure=sure)
    for at, word in enumerate(words):
        if at in taken and not any(m.start == at and m.end == at + 1 for m in found):
            continue
        counts = lexicon.list("deed_shelves") | lexicon.list("plural_each")
        if counts & {*words[max(0, at - 1) : at]} or stands_for_a_thing(said, at, lexicon):
            continue  # "that one's three hundred", "shelf two", "all three"
        led = {*words[_behind_list(talk, words, at) :][:1]} & lexicon.list("read_at")
        led |= {*words[max(0, at - 1) : at]} & lexicon.list("before_place")
        cost = _LED if led else _PARTED if at in said.breaks else _BARE
        for item in families(talk):
            for value in grammar.values((word,)):
                if value in item.numbers:
                    yield Name(at, at + 1, (_of(item, int(value)),), cost, after=item.id)


def of_a_kind(talk: Conversation, words: Words) -> Iterator[tuple[int, int, tuple[Key, ...]]]:
    """Give where places are told by the end of their names: "both walk-ins" of upper and lower walk-in."""
    lexicon, grammar = talk.interpreter.lexicon, language(talk.language).numbers
    ends: dict[Words, list[str]] = {}
    for item in talk.site.places:
        name = tuple(tokenise(item.name))
        for at in range(1, len(name)):
            ends.setdefault((*name[at:-1], f"{name[-1]}s"), []).extend(numbers_of(item))
    for tail, places in ends.items():
        for start in range(len(words) - len(tail) + 1):
            if words[start : start + len(tail)] != tail or len({talk.site.kind_of(p) for p in places}) > 1:
                continue
            before = words[max(0, start - 2) : start]
            many = {2} if {*before} & lexicon.list("both") else {*grammar.values(before[-1:])}
            each = {*before} & lexicon.list("plural_each") or {
                *words[start + len(tail) :][:2]
            } & lexicon.list("both")
            if each and len(places) > 1 and (not many or len(places) in many):
                yield start, start + len(tail), tuple(("equipment", place, 0) for place in places)


def numbers_of(item: Equipment) -> list[str]:
    """Return a place, or each of its numbers."""
    return [f"{item.id} {n}" for n in item.numbers] or [item.id]


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


def _of(item: Equipment, number: int) -> Key:
    return "equipment", f"{item.id} {number}", 0


def plurals(talk: Conversation, words: Words) -> Iterator[tuple[int, int, Equipment, tuple[int, ...]]]:
    """Give where several of one name are told: "drawers", "buckets one through three"."""
    for item in families(talk):
        names = {name for name in talk.interpreter.names_of(item.id) if name}
        plural = {(*n[:-1], f"{n[-1]}{tail}") for n in names for tail in ("s", "es")} - names
        spans = [
            (at, at + len(name))
            for name in plural | names
            for at in range(len(words) - len(name) + 1)
            if words[at : at + len(name)] == name
            if name in plural
            or {*words[at + len(name) + 1 :][:1]} & grammar_ranges(talk)
            or _all_of(talk, words, at, at + len(name), item)
        ]
        for start, end in spans:
            if not any(o != (start, end) and o[0] <= start and end <= o[1] for o in spans):
                yield start, *_listed(talk, words, end, item)
        for end in range(len(words) + 1):
            named = max((len(n) for n in names | plural if words[end - len(n) : end] == n), default=0)
            start, numbers = _listed_before(talk, words, end - named, item)
            if named and len(numbers) > 1:
                yield start, end, item, numbers


def _all_of(talk: Conversation, words: Words, start: int, end: int, item: Equipment) -> bool:
    """True for "all three freezers", "each freezer", "hand sinks all": every number of the name."""
    each, grammar = talk.interpreter.lexicon.list("plural_each"), language(talk.language).numbers
    counted = len(item.numbers) in grammar.values(words[max(0, start - 1) : start])
    before = words[max(0, start - 1 - counted) : start - counted]
    told = ({*before} | {*words[end : end + 1]}) & each
    return bool(told) and (len(item.numbers) == _TWO or not told & talk.interpreter.lexicon.list("both"))


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
        ends = not any(map(grammar.is_number_word, words[at + 1 : at + 2]))
        if number and number not in found and (ends or number > max(found, default=0)):
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


def without_number(talk: Conversation, words: Words, name: Mention) -> int:
    """Return where a name ends without the number at its end."""
    end = name.end
    while end > name.start and language(talk.language).numbers.is_number_word(words[end - 1]):
        end -= 1
    return end


def key_of(topic: Topic) -> Key:
    """Return what the solver knows a topic by."""
    return topic.kind, topic.name, topic.batch
