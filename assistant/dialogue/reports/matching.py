"""Which number is whose: the cheapest way to share the numbers of a breath among its names.

Pure: it knows positions, names, numbers and what fits, and nothing of kitchens. Every way to cut the words
into names and numbers is followed, the dearest are let go: an unused number is dear, an unused name a little
less, words that say nothing of it are cheap.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from decimal import Decimal
from itertools import pairwise
from typing import TypeVar

from assistant.dialogue.reports.shared_out import Key, Match, Name, Solution, Span, Told, family

LOST, LOST_ALONE, UNUSED, UNUSED_FOOD, UNUSED_NUMBER, UNKNOWN = 8.0, 2.0, 4.0, 2.0, 1.5, 0.3
"""What a number costs that nobody has (one digit: less), a place, a food and a place's number that have no
number, and a word between (judgement)."""
BEHIND = 0.3
"""What was measured, told right behind its number: "one eighty rinse" (judgement)."""
BEFORE, BEFORE_BARE, AGAIN, ROW, SHARED, SPOKEN_OF, TORN, JOINED = 0.8, 2.5, 1.0, 0.8, 0.8, 3.0, 4.0, 1.5
"""A number before its name, the same without "in", another of one food, numbers in a row for names in a row,
one for several places, one of what was spoken of before, one torn from another, and one
that "and" parts from its name (judgement)."""
RETOLD = 2.5
"""A second number of a place, without a word that takes the first back (judgement)."""
OPENED = 1.5
"""What "it's" in front takes off a number of what was spoken of before (judgement)."""
OTHER = 1.0
"""What one of several costs that is of another kind than the one before, or was not spoken of (judgement)."""
APART, MOST_APART = 40, 2.0
"""Numbers of one thing, or of places of one name, are alike: so many degrees apart cost one, at most two."""
_KEPT, _TWO = 80, 2
_FAR = 9
"""So many words that say nothing of it part a name and a number for good (judgement)."""


_Item = TypeVar("_Item", Name, Span)


def solve(told: Told, spoken: str = "") -> tuple[Solution, ...]:
    """Return the ways that come to different things, the cheapest first; ``spoken``: the family spoken of."""
    ways: list[list[Solution]] = [[] for _ in range(told.size + 1)]
    ways[0] = [Solution(family=spoken)]
    names, numbers = _by_start(told.names), _by_start(told.numbers)
    for at in range(told.size):
        for way in _cheapest(ways[at]):
            for end, found in _steps(told, way, at, names.get(at, ()), numbers.get(at, ())):
                ways[end].append(found)
    best: dict[frozenset[tuple[Key, bool, Decimal]], Solution] = {}
    for way in sorted(filter(None, (_ended(told, way) for way in ways[-1])), key=lambda w: w.cost):
        best.setdefault(way.told, way)
    return tuple(best.values())


def _by_start(items: Iterable[_Item]) -> dict[int, list[_Item]]:
    found: dict[int, list[_Item]] = {}
    for item in items:
        found.setdefault(item.start, []).append(item)
    return found


def _cheapest(ways: list[Solution]) -> list[Solution]:
    known: dict[tuple[object, ...], Solution] = {}
    for way in sorted(ways, key=lambda w: w.cost):
        known.setdefault((way.told, way.waiting, way.row, way.held, way.stated, way.family), way)
    return list(known.values())[:_KEPT]


def _ended(told: Told, way: Solution) -> Solution | None:
    if way.row:
        return None
    way = _lost(told, way, way.held) if way.held is not None else way
    if any(_torn(told, lost, m.number) for lost in way.lost for m in way.pairs):
        return None  # "since ten thirty" tells no thirty
    machines = {m.key for m in way.pairs if m.name is not None and m.name.aspect}
    read = {m.key for m in way.pairs} | {m.place for m in way.pairs}
    names = {n.can_be: n for n in _left(way, way.waiting).unnumbered}  # once: "hot boxes ..., the third"
    kin = {family(m.key) for m in way.pairs}
    heads = {n for n in names.values() if n.several and not n.listed and n.end in told.cuts}
    heads = {n for n in heads if family(n.can_be[0]) in kin}  # "tables: two is forty, three is fifty"
    left = tuple(n for n in names.values() if not (n.aspect or read & {*n.can_be} or n in heads))
    unused = {n.start: UNUSED_FOOD if n.food else UNUSED_NUMBER if n.after else UNUSED for n in left}
    aspects = {n.start for n in (*way.unnumbered, *way.waiting) if n.aspect and machines}
    cost = way.cost + max(0, len(machines) - 1) + sum(unused.values()) + UNUSED_NUMBER * len(aspects)
    return replace(way, waiting=(), held=None, unnumbered=left, cost=cost)


def _torn(told: Told, one: Span, other: Span) -> bool:
    """True for two halves of what may be one number, no comma between."""
    first, last = sorted((one, other), key=lambda span: span.start)
    touch = first.end == last.start and last.start not in told.cuts
    return touch and Span(first.start, last.end) in told.numbers


def _left(way: Solution, names: tuple[Name, ...]) -> Solution:
    return replace(way, unnumbered=(*way.unnumbered, *names))


def _lost(told: Told, way: Solution, number: Span) -> Solution:
    if number in told.same:
        return replace(way, cost=way.cost + UNUSED, held=None, behind=number.end)
    alone = number.end - number.start == 1 and number.start in told.alone
    cost = way.cost + (LOST_ALONE if alone else LOST)
    return replace(way, cost=cost, lost=(*way.lost, number), held=None, behind=number.end)


def _steps(
    told: Told, way: Solution, at: int, names: Iterable[Name], numbers: Iterable[Span]
) -> Iterator[tuple[int, Solution]]:
    """Give what the words from ``at`` on can be: nothing, a name, or a number of something."""
    counted, whole = list(numbers), () if at in told.cuts else told.numbers
    if not counted and not any(name.sure for name in names):
        open_ = way.waiting or way.held is not None
        gap = LOST if at in told.numerals else 0.0 if at in told.small or not open_ else UNKNOWN
        beside = {*range(way.behind, at)} <= told.small | told.into
        if beside and (way.pairs or way.held) and any(name.aspect for name in names):
            gap += UNUSED_NUMBER
        if not (way.row and at not in told.small):
            yield at + 1, replace(way, cost=way.cost + gap)
    for name in names:
        if not way.row and (name.after in ("", way.family)):
            yield from ((name.end, found) for found in _named(told, way, name))
    for number in counted:
        for found in _numbered(told, way, number):
            torn = any(Span(m.number.start, number.end) in whole for m in way.pairs if m.number.end == at)
            short = number.end not in told.numerals and any(n.end > number.end for n in counted)
            listed = number.start in told.digits and number.end in told.joins  # "freezer one and three"
            yield number.end, replace(found, cost=found.cost + torn * TORN + short + listed * AGAIN)


def _named(told: Told, way: Solution, name: Name) -> Iterator[Solution]:
    families = {family(key) for key in name.can_be}
    its = families.pop() if len(families) == 1 else way.family
    way = replace(way, cost=way.cost + name.cost, family=its or way.family)
    if way.held is not None:
        behind = name.aspect and way.held.end == name.start
        between = set(range(way.held.end, name.start))
        into = bool(between & told.into) and between <= told.small | told.into
        if behind or (not way.stated and (into or len(between - told.small) <= 1)):
            behind |= name.aspect and into  # "one fifty five on the wash"
            dear = BEHIND if behind else BEFORE if into or between & told.articles else BEFORE_BARE
            dear += UNKNOWN * len(between - told.small - told.into)
            parted = way.held.start and way.held.start not in told.cuts  # else a comma stands everywhere
            dear += JOINED if between & told.joins or (parted and told.cuts & {*between, name.start}) else 0
            dear += BEFORE_BARE if name.after and not into else 0  # "forty four, four is ..."
            dear += _cut(told, way.held, name)
            way_free = replace(way, held=None, behind=name.end)
            if name.several and name.listed:
                if into or told.each & {*between}:  # "forty in both walk-ins"
                    each = tuple(replace(name, can_be=(key,)) for key in name.can_be)
                    yield from _shared(told, way_free, each, way.held, dear)
            else:
                yield from _matched(told, way_free, (name,), way.held, dear)
        way = _lost(told, way, way.held)
    if way.pairs and way.behind == way.pairs[-1].number.end and told.meant(way.pairs[-1].number, name):
        *others, last = way.pairs
        before = replace(way, pairs=tuple(others), behind=name.end)
        yield from _matched(told, before, (name,), last.number, UNUSED_NUMBER)
    if way.pairs:
        way = replace(way, cost=way.cost + _cut(told, way.pairs[-1].number, name))
    parts = tuple(replace(name, can_be=(key,)) for key in name.can_be) if name.several else (name,)
    yield replace(way, waiting=(*way.waiting, *parts), behind=name.end)


def _cut(told: Told, number: Span, name: Name) -> float:
    """Return what it costs that the one of "fifty one" is a place; not that of "two fifty, one is"."""
    whole = name.after and number.end == name.start and Span(number.start, name.end) in told.numbers
    return TORN if whole and not {name.start, name.end} & (told.cuts | told.states) else 0.0


def _numbered(told: Told, way: Solution, number: Span) -> Iterator[Solution]:
    """Give the ways to use a number: of what waits, of what stands behind it, anew, again, or of nothing."""
    waiting, last = way.waiting, way.pairs[-1] if way.pairs else None
    gone = replace(way, waiting=(), row=False, behind=number.end)
    if way.row:
        rest = replace(way, waiting=waiting[1:], row=len(waiting) > _TWO, behind=number.end)
        yield from _matched(told, rest, waiting[:1], number, 0)
        return
    if waiting:
        far = len([i for i in range(waiting[-1].end, number.start) if i not in told.small])
        parted = any(lost.start >= waiting[-1].end for lost in way.lost)
        if (far < _FAR and not parted) or number.start in told.resumed:
            joined = bool(told.joins & {*range(waiting[-1].end, number.start)})
            alone = waiting[-1].after or number.start in told.alone
            dear = (
                LOST if alone else JOINED
            )  # "bucket two and twenty" is no bucket two, nor "one and two" a two
            its_own = replace(gone, cost=gone.cost + joined * dear)
            yield from _of_last(told, its_own, waiting, number)
        if len(waiting) > 1:
            for i in range(len(waiting) - 1):
                rest = replace(way, waiting=waiting[i + 1 :], row=True, behind=number.end)
                yield from _matched(told, _left(rest, waiting[:i]), waiting[i : i + 1], number, ROW)
            if (shared := _shares(told, waiting, number)) is not None:
                yield from _shared(told, gone, waiting, number, shared)
    elif last is not None and last.number.end <= number.start:
        named_since = any(name.start >= last.number.end for name in way.unnumbered)
        if not named_since and told.anew(last.number, number):
            value = told.fits(last.key, last.name, number)
            if value is not None:
                told_anew = replace(last, number=number, value=value, read=number)
                pairs, replaced = (*way.pairs[:-1], told_anew), (*way.replaced, last.number)
                yield replace(gone, pairs=pairs, replaced=replaced, cost=way.cost + UNKNOWN)
        elif told.timed or (last.key[0] == "food" and last.number.end == way.behind):
            yield from _pair(told, gone, last.key, last.name, number, AGAIN)
    nothing = not waiting and not way.pairs and way.held is None and number not in told.same
    topic = told.topic(number) if nothing and told.opens else None
    if topic is not None and not any(topic in name.can_be for name in told.names if name.end > number.end):
        dear = SPOKEN_OF - OPENED * (told.opened + (number.start in told.resumed))
        yield from _pair(told, gone, topic, None, number, dear)
    if way.held is None:
        stated = bool(waiting and told.states & {*range(waiting[-1].end, number.start)})
        yield replace(_left(gone, waiting), held=number, stated=stated)
    its = any(n.after or told.fits(key, n, number) is not None for n in waiting for key in n.can_be)
    kept = (
        _left(gone, waiting) if its else replace(gone, waiting=waiting)
    )  # "... bout nine, now it reads ..."
    yield _lost(told, kept if way.held is None else _lost(told, gone, way.held), number)


def _of_last(told: Told, way: Solution, waiting: tuple[Name, ...], number: Span) -> Iterator[Solution]:
    """Give a number to the name before it; a food and the place that it is in are one."""
    if len(waiting) > 1 and waiting[-1].food != waiting[-2].food and not waiting[-1].aspect:
        food, place = sorted(waiting[-2:], key=lambda name: not name.food)
        between = range(waiting[-2].end, waiting[-1].start)
        into = bool(told.into & {*between}) or place.start < food.start
        apart = told.cuts & {*between, place.start} and not told.cuts & {*range(place.end, number.start + 1)}
        left = _left(way, waiting[:-2]) if not apart or place.start < food.start else None
        for found in _matched(told, left, (food,), number, 0.0 if into else 1.0) if left is not None else ():
            where = place.can_be[0] if len(place.can_be) == 1 else None
            yield replace(found, pairs=(*found.pairs[:-1], replace(found.pairs[-1], place=where)))
    one_of = LOST if len(waiting) > 1 and waiting[-2].several and waiting[-1].several else 0.0
    yield from _matched(told, _left(way, waiting[:-1]), waiting[-1:], number, one_of)


def _shares(told: Told, names: tuple[Name, ...], number: Span) -> float | None:
    """Return what it costs that a number is of all the names; ``None`` where nothing says so."""
    if any(name.food or name.aspect for name in names):
        return 0.0 if told.each & {*range(names[0].start, number.end + 1)} else None
    if told.each & {*range(names[0].start - 2, number.end + 1)}:
        return 0.0
    stated = told.states & {*range(names[-1].end, number.start)}
    gaps = {i for one, two in pairwise(names) for i in range(one.end, two.start)}
    if stated & told.plural and gaps and gaps <= told.joins | told.articles:
        return SHARED / 2  # "pot and warmer are at one fifty"
    dear = SHARED / 2 if stated else SHARED
    if names[0].several:
        return (dear if stated else SHARED + dear) if all(name.listed for name in names) else None
    alike = len({family(name.can_be[0]) for name in names}) == 1 and family(names[0].can_be[0])
    return dear if alike and gaps and gaps <= told.joins else None


def _shared(
    told: Told, way: Solution, names: tuple[Name, ...], number: Span, dear: float
) -> Iterator[Solution]:
    found = [replace(way, cost=way.cost + dear)]
    for name in names:
        found = [each for so_far in found for each in _matched(told, so_far, (name,), number, 0)]
    yield from found


def _matched(
    told: Told, way: Solution, names: tuple[Name, ...], number: Span, dear: float
) -> Iterator[Solution]:
    for name in names:
        taken = {m.key for m in way.pairs if bool(m.name and m.name.aspect) == name.aspect}
        told_of = {m.key for m in way.pairs}
        for key in name.can_be:
            if key[0] == "equipment" and key in taken and not name.aspect:
                yield from _retold(told, way, key, name, number, dear)
                continue
            far = bool(name.aspect and told_of and key not in told_of)
            yield from _pair(told, way, key, name, number, dear + far + _unlikely(told, way, name, key))


def _retold(told: Told, way: Solution, key: Key, name: Name, number: Span, dear: float) -> Iterator[Solution]:
    """Give a place the number that it is told last ("..., no, the larder is forty"): it reads one."""
    first = next(m for m in way.pairs if m.key == key and not (m.name and m.name.aspect))
    again = told.fits(key, name, number) == first.value
    back = again or told.taken_back(way.pairs[-1].number, number)
    if told.timed or number.start < first.number.end or not (back or (name.sure and len(name.can_be) == 1)):
        return
    left = tuple(m for m in way.pairs if m is not first)
    gone = replace(way, pairs=left)
    if back:
        gone = replace(gone, replaced=(*way.replaced, first.number))
    else:
        gone = replace(gone, lost=(*way.lost, first.number))
    yield from _pair(told, gone, key, name, number, dear + (UNKNOWN if back else RETOLD))


def _unlikely(told: Told, way: Solution, name: Name, key: Key) -> float:
    """Return what one of several costs that is of another kind than the last, or was not spoken of."""
    if len(name.can_be) == 1:
        return 0.0
    kin = name.after == "" and way.family in map(family, name.can_be) and family(key) != way.family
    last = told.kinds.get(way.pairs[-1].key) if way.pairs else None
    another = last in {told.kinds.get(each) for each in name.can_be} and told.kinds.get(key) != last
    spoken = {*told.spoken_of} & {*name.can_be}
    return OTHER * (another + bool(way.family and kin) + bool(spoken and key not in spoken))


def _pair(
    told: Told, way: Solution, key: Key, name: Name | None, number: Span, dear: float
) -> Iterator[Solution]:
    of = told.same.get(number)
    spoken = number
    if number in told.same and (pairs := [m for m in way.pairs if of in (None, m.key)]):
        spoken = pairs[-1].read or pairs[-1].number
        if pairs[-1].place is not None and key[0] == "equipment":  # "potatoes in the oven one ten, ..."
            there = replace(pairs[-1], number=number, place=key, name=name, read=spoken)
            yield replace(way, pairs=(*way.pairs, there), cost=way.cost + dear, family=family(key))
            return
        if pairs[-1].key[0] != key[0]:
            return  # no soup is as cold as the larder
    value = told.fits(key, name, spoken)
    if value is None:
        return
    alike = [m for m in way.pairs if m.key == key or (family(key) and family(m.key) == family(key))]
    if alike and not (name is not None and name.aspect):
        dear += min(MOST_APART, float(abs(alike[-1].value - value)) / APART)
    match = Match(key, number, value, name, read=spoken)
    yield replace(way, pairs=(*way.pairs, match), cost=way.cost + dear, family=family(key) or way.family)
