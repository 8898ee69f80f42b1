"""Which number goes with which name in a breath: the names and numbers are gone through in their order."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue.hearing import Heard
from assistant.dialogue.reports.between import anew, plain
from assistant.dialogue.reports.fits import can_read, fitting, only_topic, waits_for_number
from assistant.dialogue.reports.mentioned import Mention, implied_by, mentioned
from assistant.dialogue.reports.place_marks import families
from assistant.dialogue.reports.read_off import Breath, Number, Pair, read_off
from assistant.dialogue.reports.times import Way
from assistant.dialogue.reports.whose import of_something_else
from assistant.dialogue.topic import Topic, can_be, last_read
from intents.language import language

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_TWO = 2


def breath(talk: Conversation, heard: Heard, way: Way) -> Breath:
    """Go through the names and numbers of a breath in their order."""
    said = heard.interpretation.heard
    names = mentioned(talk, heard, way)
    inside = {i for m in names for i in range(m.start, m.end)}
    names += [m for m in implied_by(talk, said) if not inside & {*range(m.start, m.end)}]
    times = sum(told.part == "at" for told in way)
    found = Breath([], [], [], [], times, len(names))
    found.before = last_read(talk)
    told = tuple(read_off(talk, heard, way, names))
    found.torn = [(number.start, number.end) for number in told if number.torn]
    items: list[Mention | Number] = [*names, *(number for number in told if not number.torn)]
    items = _told_apart(talk, said.words, items)
    items.sort(key=lambda item: item.start)
    first = next((item.start for item in items if isinstance(item, Number)), 0)
    found.opens = not of_something_else(talk, heard, first)
    taken = 0
    for i, item in enumerate(items):
        if i < taken:
            continue
        if _same_as(talk, said.words, found, items[i : i + _TWO]):
            taken = i + _TWO
            continue
        if isinstance(item, Mention):
            _name(talk, said.words, found, item)
        else:
            behind = next(iter(items[i + 1 : i + 2]), None)
            if _number(talk, said.words, found, item, behind if isinstance(behind, Mention) else None):
                taken = i + _TWO
    _settle(talk, said.words, found)
    return found


def _told_apart(
    talk: Conversation, words: tuple[str, ...], items: list[Mention | Number]
) -> list[Mention | Number]:
    """Return the items with the two of "bucket one two hundred, two the same" as a place's number."""
    same = {item.start for item in items if isinstance(item, Number) and item.same}
    glued = next((n for n in items if isinstance(n, Number) and n.end in same), None)
    if glued is None:
        return items
    before = [m for m in items if isinstance(m, Mention) and len(m.can_be) == 1 and m.start < glued.start]
    named = max(before, key=lambda m: m.start, default=None)
    if named is None:
        return items
    alone = glued.end - glued.start == 1
    last = Number(glued.end - 1, glued.end + 1)
    sibling = _sibling(talk, words, named.can_be, last)
    if sibling is None:
        return items
    sibling_named = Mention((sibling,), glued.end - 1, glued.end)
    rest = [] if alone else [replace(glued, end=glued.end - 1)]
    return [*(i for i in items if i is not glued), *rest, sibling_named]


def _same_as(
    talk: Conversation, words: tuple[str, ...], found: Breath, items: list[Mention | Number]
) -> bool:
    """Read "the drawers same as the walk-in" as that of the walk-in."""
    if len(items) < _TWO or not found.waiting:
        return False
    same, other = items
    lexicon = talk.interpreter.lexicon
    if not isinstance(same, Number) or not same.same or not isinstance(other, Mention):
        return False
    small = lexicon.list("same_as") | lexicon.list("deed_articles")
    between = {*words[same.end : other.start]}
    if not between & lexicon.list("same_as") or not between <= small or len(other.can_be) != 1:
        return False
    of = other.can_be[0].name
    told = next((p.reading for p in found.pairs if p.reading.subject == of), None) or last_read(talk, of)
    if told is None:
        return False
    found.before, known = told, found.pairs
    found.pairs = []
    pair = _read(talk, words, found.waiting[-1], same, found)
    found.pairs = [*known, pair] if pair is not None else known
    found.waiting = found.waiting[:-1] if pair is not None else found.waiting
    return pair is not None


def _settle(talk: Conversation, words: tuple[str, ...], found: Breath) -> None:
    """Leave open what was told of and has no number: no place where something was put, none that is off."""
    lexicon = talk.interpreter.lexicon
    _move_last(talk, words, found)
    told = {pair.topic.name for pair in found.pairs} | {pair.place for pair in found.pairs}
    put = lexicon.list("prepositions") | lexicon.list("deed_into")
    found.unnumbered = [
        m
        for m in (*found.unnumbered, *found.waiting)
        if len(m.can_be) == 1 and m.can_be[0].name not in told and not m.food
        if not {*words[max(0, m.start - 2) : m.start]} & put  # "i moved the milk to the larder"
        if not {*words[m.end : m.end + 2]} & lexicon.list("denying")  # "not on yet"
    ]
    if found.times < _TWO:
        found.pairs = [p for i, p in enumerate(found.pairs) if not _toldanew(p, found.pairs[i + 1 :])]
    given = {pair.number.start for pair in found.pairs}
    found.lost = [span for span in found.lost if not given & {*range(*span)}]


def _move_last(talk: Conversation, words: tuple[str, ...], found: Breath) -> None:
    """Read the last number of the place named behind it: "walk-in thirty eight, no, that was the larder"."""
    if not found.pairs or not found.waiting or found.last is None or found.waiting[0].food:
        return
    name, lexicon = found.waiting[0], talk.interpreter.lexicon
    between = words[found.last.end : name.start]
    meant = any(f" {phrase} " in f" {' '.join(between)} " for phrase in lexicon.list("meant_so"))
    if not meant and not {*between} & lexicon.list("correction_openers"):
        return
    pair = _read(talk, words, name, found.last, found)
    if pair is not None and found.pairs[-1].number == found.last:
        found.pairs[-1], found.waiting = pair, found.waiting[1:]


def _toldanew(pair: Pair, later: list[Pair]) -> bool:
    """True for a number of a place that has another behind it: "larder thirty eight, no, larder is forty"."""
    one = pair.reading
    return pair.topic.kind == "equipment" and any(
        (p.topic.name, p.reading.measured, p.reading.quantity) == (one.subject, one.measured, one.quantity)
        for p in later
    )


def _sibling(
    talk: Conversation, words: tuple[str, ...], can: tuple[Topic, ...], number: Number
) -> Topic | None:
    """Return the sibling of a place that a number's first word names: the two of "two thirty eight"."""
    if len(can) != 1 or number.same or number.start + 1 >= number.end:
        return None
    values = language(talk.language).numbers.values(words[number.start : number.start + 1])
    of = [f for f in families(talk) if can[0].name.startswith(f"{f.id} ")]
    places = [f"{f.id} {v:f}" for f in of for v in values if v == int(v) and int(v) in f.numbers]
    known = len(places) == 1 and places[0] != can[0].name
    return Topic("equipment", places[0], talk.clock.now()) if known else None


def _name(talk: Conversation, words: tuple[str, ...], found: Breath, name: Mention) -> None:
    """Keep a name until its number comes; "banquet, the first" is one name."""
    before = found.waiting[-1] if found.waiting else None
    if before is not None and not (before.food or name.food):
        both = tuple(t for t in before.can_be if t.name in {topic.name for topic in name.can_be})
        lexicon = talk.interpreter.lexicon
        small = lexicon.links | lexicon.filler | lexicon.list("deed_articles")
        if both and len(both) < len(before.can_be) and {*words[before.end : name.start]} <= small:
            found.waiting[-1] = replace(name, can_be=both, start=before.start)
            return
    if before is None and len(name.can_be) > 1 and (one := _of_family(talk, found, name)):
        name = replace(name, can_be=one)
    found.waiting.append(name)


def _of_family(talk: Conversation, found: Breath, name: Mention) -> tuple[Topic, ...]:
    """Return the one of the numbered places told just before that "the second" can be."""
    read = found.before.subject if found.before is not None else ""
    last = found.pairs[-1].topic.name if found.pairs else read
    family = next((f for f in families(talk) if last in [f"{f.id} {n}" for n in f.numbers]), None)
    places = [f"{family.id} {n}" for n in family.numbers] if family is not None else []
    return tuple(topic for topic in name.can_be if topic.name in places)


def _number(
    talk: Conversation, words: tuple[str, ...], found: Breath, number: Number, behind: Mention | None
) -> bool:
    """Give a number to what waits for one, to what stands behind it (true), or to what was spoken of."""
    lexicon, before = talk.interpreter.lexicon, found.last
    found.last = number
    if before is not None and not found.waiting and anew(talk, words, before, number):
        pair = next((p for p in found.pairs if p.number == before), None)
        again = _read(talk, words, pair.topic, number, found) if pair is not None else None
        if pair is not None:
            found.pairs.remove(pair)
        found.lost = [span for span in found.lost if span != (before.start, before.end)]
        if again is not None:
            found.pairs.append(again)
            return False
    elif found.waiting and _given(talk, words, found, number):
        return False
    elif found.waiting and not number.same and not _can_be_of(talk, words, found.waiting, number):
        found.lost.append((number.start, number.end))  # "put it in the warmer bout nine, now it reads ..."
        return False
    elif not found.waiting:
        follows = {*words[number.end : behind.start]} if behind is not None else set[str]()
        small = lexicon.links | lexicon.filler | lexicon.list("prepositions")
        joined = follows & lexicon.list("prepositions") and follows <= small
        if behind is not None and joined and (pair := _read(talk, words, behind, number, found)):
            found.pairs.append(pair)
            return True
        order = behind is not None and len(follows) <= 1  # "eighty-six the salmon"
        alone = found.opens and not found.pairs and not order
        topic = only_topic(talk, words, " ".join(words[number.start : number.end])) if alone else None
        open_ = waits_for_number(talk)
        if topic is not None and open_ is not None and topic.name not in open_:
            topic = None  # what was read back is not told anew
        if found.pairs and (found.times > 1 or not found.named):
            topic = found.pairs[-1].topic  # "forty two at four, last one at five was thirty nine"
            topic = topic if found.times > 1 or topic.kind == "food" else None
        if topic is not None and not number.same and (pair := _read(talk, words, topic, number, found)):
            found.pairs.append(pair)
            return False
    found.unnumbered += found.waiting
    found.waiting = []
    if not number.same:
        found.lost.append((number.start, number.end))
    return False


def _can_be_of(talk: Conversation, words: tuple[str, ...], names: list[Mention], number: Number) -> bool:
    """True where one of the names can have that number at all."""
    said = " ".join(words[number.start : number.end])
    return any(can_read(talk, name.can_be, said) for name in names)


def _given(talk: Conversation, words: tuple[str, ...], found: Breath, number: Number) -> bool:
    """Give a number, or as many as wait in a row, to the places and foods that wait."""
    waiting = found.waiting
    if not plain(talk, words, waiting[-1], number):
        return False
    if len(waiting) > 1 and _in_a_place(talk, words, waiting[-2], waiting[-1]):
        pair = _read(talk, words, waiting[-2], number, found)
        if pair is not None:
            pair.place = waiting[-1].can_be[0].name if len(waiting[-1].can_be) == 1 else ""
        pairs, found.unnumbered = [pair], [*found.unnumbered, *waiting[:-2]]
    else:
        pairs, found.unnumbered = (
            [_read(talk, words, waiting[-1], number, found)],
            [*found.unnumbered, *waiting[:-1]],
        )
    if any(pair is None for pair in pairs):
        return False
    found.pairs += [pair for pair in pairs if pair is not None]
    found.waiting = []
    return True


def _in_a_place(talk: Conversation, words: tuple[str, ...], food: Mention, place: Mention) -> bool:
    """True for the walk-in of "milk in the walk-in forty"."""
    between = {*words[food.end : place.start]}
    return food.food and not place.food and bool(between & talk.interpreter.lexicon.list("prepositions"))


def _may_be_of_name(
    talk: Conversation, words: tuple[str, ...], can: tuple[Topic, ...], number: Number
) -> bool:
    """True for "bucket two fifty": bucket two, or two fifty."""
    at = number.start - 1
    values = language(talk.language).numbers.values(words[at : at + 1]) if at >= 0 else frozenset()
    of = [f for f in families(talk) if any(topic.name == f"{f.id} {v:f}" for topic in can for v in values)]
    whole = " ".join(words[at : number.end])
    return any(fitting(talk, (replace(can[0], name=f"{f.id} {f.numbers[0]}"),), whole) for f in of)


def _read(
    talk: Conversation, words: tuple[str, ...], of: Mention | Topic, number: Number, found: Breath
) -> Pair | None:
    """Return the number as a reading of the one thing that it can be of."""
    name = of if isinstance(of, Mention) else None
    can = of.can_be if isinstance(of, Mention) else (of,)
    if number.same:
        before = found.pairs[-1].reading if found.pairs else found.before
        if before is None or len(can) != 1:
            return None
        reading = replace(before, subject=can[0].name, subject_kind=can[0].kind, place="")
        alike = can_be(talk, can[0], reading) and before.subject_kind == can[0].kind
        return Pair(can[0], reading, number) if alike else None
    if _may_be_of_name(talk, words, can, number):
        return None
    for start in range(number.start, number.end):
        restarted = start > number.start and words[start] == words[number.start]
        if start > number.start and not restarted:
            continue
        aspect = words[name.start : name.end] if name is not None and name.implied else ()
        fits = fitting(talk, can, " ".join((*aspect, *words[start : number.end])))
        if len(fits) == 1:
            return Pair(*fits[0], number)
    return None
