"""Reads a report whose words are not all known: names and numbers in their order, the rest stands beside.

"so hot trolley one again i measure sixty one": the net tells that something was read; what was read
are the names and numbers, each exact. Every number has to find its place or food; a word that could
turn the sentence round ("not", "scratch", "need") leaves nothing read.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field, replace
from decimal import Decimal
from itertools import pairwise

from intents.dishes import may_be_dish
from intents.lexicon import Finder, Lexicon, Span
from intents.meaning import Role
from intents.mentions import Understanding
from intents.not_measured import not_measured
from intents.readings import KindOf, Reading, ReadingParse, ReadingParser
from intents.siblings import of_a_list, of_another_clause
from intents.ways_to_read import all_places

MOST_WORDS = 30
"""A longer breath is no reading that anybody could check by ear."""
MOST_WAYS = 64
_NO_READING: frozenset[Role] = frozenset({"limit", "count", "reason", "condition", "at", "since", "span"})
"""Roles of numbers that nobody read off."""
_AGAINST = ("negation", "correction_openers", "takes_back", "wished", "asking")
"""Lists of words that turn a report round; "is" and "was" only open a question at the beginning."""


@dataclass(frozen=True, slots=True)
class Loose:
    """The ways in which names and numbers read, and how many words between them are not known."""

    parse: ReadingParse = field(default_factory=ReadingParse)
    between: int = 0


@dataclass(frozen=True, slots=True)
class _Number:
    value: Decimal
    quantity: str
    unit: str
    start: int
    end: int


_Item = Span | _Number | str
"""A name, a number, or what was measured."""


@dataclass(frozen=True, slots=True)
class _Group:
    names: tuple[Span, ...]
    measured: str
    number: _Number
    shared: bool = False  # told of several places at once
    beside: bool = False  # a food of another clause stands before


def readings_by_role(
    heard: Understanding,
    roles: tuple[Role, ...],
    finders: dict[str, Finder],
    lexicon: Lexicon,
    kind_of: KindOf,
    unit: str = "F",
    short: Finder | None = None,
) -> Loose:
    """Return the ways in which the names and numbers of ``heard`` read, each number with its own name.

    ``roles`` are the net's, one a word; ``kind_of`` gives the kind of an equipment id, ``unit`` the
    site's degrees, ``short`` words that may be a place.
    """
    words = heard.words
    if heard.broken or len(words) > MOST_WORDS or len(roles) != len(words) or not_measured(heard, lexicon):
        return Loose()
    if any(set(words[1:] if name == "asking" else words) & _against(lexicon, name) for name in _AGAINST):
        return Loose()
    parser = ReadingParser(heard, finders, lexicon, kind_of, unit, short)
    found: dict[tuple[Reading, ...], int] = {}
    for count, items in enumerate(_items(parser, roles, 0)):
        if count == MOST_WAYS:
            return Loose()
        for groups in _grouped(items, words, lexicon, heard.breaks):
            groups = tuple(_its_own(group, heard) for group in groups)
            for readings in _readings(parser, groups):
                if all(parser.makes_sense(reading) for reading in readings):
                    between = _between(groups, words, lexicon)
                    found[readings] = min(between, found.get(readings, between))
    if not found:
        return Loose()
    places = [readings for readings in found if all_places(readings)]
    found = {readings: found[readings] for readings in places} or found
    fewest = min(len(readings) for readings in found)
    kept = {readings: between for readings, between in found.items() if len(readings) == fewest}
    return Loose(ReadingParse(tuple(sorted(kept, key=repr))), max(kept.values()))


def _against(lexicon: Lexicon, name: str) -> frozenset[str]:
    links = lexicon.links if name in ("asking", "wished") else frozenset[str]()
    return lexicon.list(name) - links


def _items(parser: ReadingParser, roles: tuple[Role, ...], at: int) -> Iterator[tuple[_Item, ...]]:
    """Give every way to see the words from ``at`` on as names, numbers and what was measured."""
    if at >= len(parser.words):
        yield ()
        return
    if at in parser.tools:
        yield from _items(parser, roles, parser.tools[at])
        return
    names = parser.names_at(at)
    numbers = [] if roles[at] in _NO_READING else list(parser.number_at(at))
    sure = [name for name in names if name not in parser.in_short(at)]
    if all(name.kind == "food" for name in names) and not numbers:
        food = _whole_food(parser, roles, at, names)
        names = [food] if food is not None else []
        sure = names
    for name in names:
        yield from ((name, *rest) for rest in _items(parser, roles, name.end))
    for end, value, quantity, unit in () if names else numbers:
        number = _Number(value, quantity, unit, at, end)
        yield from ((number, *rest) for rest in _items(parser, roles, end))
    if sure or numbers:
        return
    bound = parser.bounds.get(at)
    if parser.number_begins(bound.end if bound is not None else at):
        return  # a number that was not read off, or none that can be read: nothing of it is taken
    if _names_another(parser, roles, at):
        return
    aspect = parser.aspects.get(at)
    if aspect is not None:
        measured = aspect.value.removeprefix("measured_")
        yield from ((measured, *rest) for rest in _items(parser, roles, aspect.end))
    else:
        yield from _items(parser, roles, at + 1)


def _names_another(parser: ReadingParser, roles: tuple[Role, ...], at: int) -> bool:
    """True for "blast fridge" where the kitchen has a fridge: the net hears the word as part of the place."""
    word, small = parser.words[at], parser.links | parser.lexicon.filler
    if roles[at] != "place" or word in small or at in parser.known or at + 1 == len(parser.words):
        return False
    return any(name.kind == "equipment" for name in parser.names_at(at + 1))


def _whole_food(parser: ReadingParser, roles: tuple[Role, ...], at: int, known: list[Span]) -> Span | None:
    """Return the food named from ``at`` on, with the words that name it together: a "fish pie" is no fish.

    A word that no table knows belongs to it where the net hears a food ("lasagne", "chicken tinga").
    """
    words, small = parser.words, parser.links | parser.lexicon.filler
    end = known[0].end if known else at
    while end < len(words) and (end == at or end not in parser.heard.breaks):
        names = parser.names_at(end)
        foods = [name for name in names if name.kind == "food"]
        unknown = roles[end] == "food" and words[end] not in small and end not in parser.known
        if foods and len(foods) == len(names):
            end = foods[0].end
        elif unknown and not names and not parser.number_begins(end):
            end += 1
        else:
            break
    if known and end == known[0].end:
        return known[0]
    of_place = {*words[at:end]} <= parser.finders["equipment"].words  # "smoker" of a smoker cabinet
    dish = bool(known) or (not of_place and may_be_dish(words[at:end], parser.lexicon.language))
    dish = dish and end > at
    return Span("food", " ".join(words[at:end]), at, end) if dish else None


def _its_own(group: _Group, heard: Understanding) -> _Group:
    """Return a group without the food of another clause: "full of beans today, larder thirty seven"."""
    food, place = group.names[0], group.names[-1]
    apart = len(group.names) > 1 and of_another_clause(heard, food, place, group.number.start)
    return replace(group, names=(place,), beside=True) if apart else group


def _each_in_a_clause(groups: tuple[_Group, ...], breaks: Collection[int]) -> bool:
    """True for "thirty eight lower, thirty nine upper": a number and its place between two commas, twice."""
    spans = sorted((group.number.start, group.names[-1].end) for group in groups)
    places = all(name.kind == "equipment" for group in groups for name in group.names)
    whole = not any(start < each < end for start, end in spans for each in breaks)
    apart = all(any(one[1] <= each <= two[0] for each in breaks) for one, two in pairwise(spans))
    return len(groups) > 1 and places and whole and apart


def _grouped(
    items: tuple[_Item, ...], words: tuple[str, ...], lexicon: Lexicon, breaks: Collection[int]
) -> Iterator[tuple[_Group, ...]]:
    """Give the ways to pair names with numbers: each name before its number, or each behind it."""
    if not any(isinstance(item, _Number) for item in items):
        return
    for backward in (False, True):
        each = not backward and bool(set(words) & lexicon.list("plural_each"))
        paired = _paired(tuple(reversed(items)) if backward else items, each=each)
        if paired is None:
            continue
        groups, left = paired
        if backward:
            led = all(_follows(group.names[0].start, words, lexicon) for group in groups)
            if not left and (led or _each_in_a_clause(groups, breaks)):
                yield tuple(reversed(groups))  # "eighty six the salmon" is no reading
        elif not left:
            yield groups
        elif (shared := _too(groups, left, words, lexicon)) is not None:
            yield shared
        elif (placed := _placed(groups, left, words, lexicon)) is not None:
            yield placed


def _paired(
    items: tuple[_Item, ...], *, each: bool = False
) -> tuple[tuple[_Group, ...], tuple[Span, ...]] | None:
    """Return names with the number that follows them, and the names left over; ``None`` for a lone number.

    With ``each`` a number may be that of several places: "walk-in and reach-in both thirty eight".
    """
    groups: list[_Group] = []
    names: list[Span] = []
    measured = ""
    for item in items:
        if isinstance(item, Span):
            names.append(item)
        elif isinstance(item, str):
            measured = item
        else:
            kinds = [name.kind for name in names]
            if each and len(names) > 1 and set(kinds) == {"equipment"}:
                groups += (_Group((name,), measured, item, shared=True) for name in names)
                names, measured = [], ""
                continue
            if kinds not in (["equipment"], ["food"], ["food", "equipment"], ["equipment", "food"]):
                return None
            groups.append(_Group(tuple(sorted(names, key=lambda n: n.start)), measured, item))
            names, measured = [], ""
    return tuple(groups), tuple(names)


def _too(
    groups: tuple[_Group, ...], left: tuple[Span, ...], words: tuple[str, ...], lexicon: Lexicon
) -> tuple[_Group, ...] | None:
    """Return groups with a place that has the number before it, too: "walk-in thirty six, reach-in too"."""
    if not groups or len(left) != 1 or left[0].kind != "equipment":
        return None
    if " ".join(words[left[0].end :]) not in lexicon.list("same_as_before"):
        return None
    return (*groups, _Group(left, "", groups[-1].number, shared=True))


def _placed(
    groups: tuple[_Group, ...], left: tuple[Span, ...], words: tuple[str, ...], lexicon: Lexicon
) -> tuple[_Group, ...] | None:
    """Return foods with the place told last for all of them: "gravy seventy nine peas eighty on the line"."""
    foods = all([name.kind for name in group.names] == ["food"] for group in groups)
    one = len(left) == 1 and left[0].kind == "equipment"
    if not foods or not one or not _follows(left[0].start, words, lexicon):
        return None
    return tuple(_Group((*group.names, left[0]), group.measured, group.number) for group in groups)


def _follows(start: int, words: tuple[str, ...], lexicon: Lexicon) -> bool:
    """True for a place behind a preposition, articles between them left out."""
    prepositions = lexicon.list("prepositions")
    while start and words[start - 1] in lexicon.filler - prepositions:
        start -= 1
    return bool(start) and words[start - 1] in prepositions


def _readings(parser: ReadingParser, groups: tuple[_Group, ...]) -> Iterator[tuple[Reading, ...]]:
    if not groups:
        yield ()
        return
    first, number = groups[0], groups[0].number
    if any(of_a_list(parser.words, name.end, number.start, parser.lexicon) for name in first.names):
        return
    ways = parser.reading_of(
        list(first.names), first.measured, number.value, number.quantity, number.unit, number.end
    )
    for reading, _ in ways:
        yield from ((reading, *rest) for rest in _readings(parser, groups[1:]))


def _between(groups: tuple[_Group, ...], words: tuple[str, ...], lexicon: Lexicon) -> int:
    """Count the words between names and numbers that say more than "is" or "at", and what shares a number."""
    small = lexicon.small()
    gaps = 0
    for group in groups:
        if group.shared or group.beside:
            gaps += 1
            continue
        spans = sorted((*((n.start, n.end) for n in group.names), (group.number.start, group.number.end)))
        for (_, end), (start, _) in pairwise(spans):
            gaps += sum(word not in small for word in words[end:start])
    return gaps
