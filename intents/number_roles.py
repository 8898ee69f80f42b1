"""What a number may be of that nobody read off: a difference, a shelf, an order, what a thermostat is set to.

One table (``number_roles.toml``) tells them by the words around them. They are no reading, no time and
nothing that was left unused. What may as well be a reading of what is named stays a number, and is in doubt.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from intents.equipment_kinds import equipment_kinds, food_may_read, plausible
from intents.language import language
from intents.lexicon import load_lexicon
from intents.patterns import NUMBER, pattern_of

if TYPE_CHECKING:
    from intents.mentions import Understanding

Of = Literal["difference", "thing", "count", "set", "shown", "shelf"]
"""What a number is of."""
MayRead = Callable[[str, str, Decimal], bool]
"""Whether what is named, by its kind ("equipment", "food") and name, may read a number."""
_BEHIND = ("list_joins", "prepositions", "asides", "before_time", "after_time", "told_now", "short_small")
"""Lists of words that nobody counts."""
_FAR = 2
"""A number this many times smaller than what it is over or under is no reading beside it (judgement)."""
_MOST_APART = 20
"""More degrees than these nothing is off by, where nothing is named (judgement)."""
THERMOSTAT, _SET = "thermostat", ("air", "food", "final rinse")
"""Asks whether a place has a thermostat; what is measured of those that have."""
_TOLD = ("number", "temperature", "ppm")


def may_read(kind_of: Callable[[str], str], *, celsius: bool) -> MayRead:
    """Return what tells where a number without its unit makes sense, and of a probe any: its error."""

    def reads(kind: str, name: str, value: Decimal) -> bool:
        if kind == "food":
            return food_may_read(value, celsius)
        of = kind_of(name)
        if kind == THERMOSTAT:
            return equipment_kinds().get(of, {}).get("measured") in _SET
        return of == "probe" or plausible(of, "ppm", value) or plausible(of, "temperature", value, celsius)

    return reads


def reads_nothing(kind: str, name: str, value: Decimal) -> bool:
    """Return False: nothing is known of what is named."""
    return False


@dataclass(frozen=True, slots=True)
class _Row:
    """One row of the table."""

    name: str
    role: Of
    pattern: str
    most: int = 10**9
    ends: str = ""
    beside: bool = False
    surely: bool = False
    unless: str = ""


@dataclass(frozen=True, slots=True)
class OtherNumber:
    """Words from ``start`` to ``end`` with a number of something else, or ``perhaps`` one that was read."""

    role: Of
    start: int
    end: int
    perhaps: bool = False
    runs_on: bool = False  # into another number: "shelf two forty five"


@cache
def _table() -> tuple[_Row, ...]:
    text = Path(__file__).with_name("number_roles.toml").read_text(encoding="utf-8")
    return tuple(_Row(**row) for row in tomllib.loads(text)["role"])


def number_roles(heard: Understanding) -> tuple[OtherNumber, ...]:
    """Return the numbers that a row tells, the longest words at each place, in their order."""
    if not any(heard.numbers_from(at) for at in range(len(heard.words))):
        return ()
    found = sorted((each for row in _table() for each in _found(row, heard)), key=lambda o: (o.start, -o.end))
    kept: list[OtherNumber] = []
    for each in found:
        if not kept or each.start >= kept[-1].end:
            kept.append(each)
    return tuple(kept)


def other_numbers(heard: Understanding) -> tuple[OtherNumber, ...]:
    """Return the numbers that nobody read off, in their order."""
    return tuple(each for each in heard.number_roles if not each.perhaps)


def left_out(heard: Understanding) -> tuple[OtherNumber, ...] | None:
    """Return those without which the rest may be read; ``None`` for a difference of one of several places.

    "Low-boy one thirty eight, low-boy two two over": what is left would stand beside the other's name.
    """
    several = len(heard.names.get("equipment", ())) > 1
    return None if several and words_of_others(heard, "difference") else other_numbers(heard)


def only_differs(heard: Understanding) -> bool:
    """True where no number is told but of a difference: the one of "freezer one" is its name."""
    of = words_of_others(heard, "difference")
    return bool(of) and all(of & {*range(m.start, m.end)} for m in heard.free_measures)


def may_differ(heard: Understanding) -> bool:
    """True where a number may be a reading as well as something else: it is read back."""
    told = heard.number_roles
    beside = any(each.role == "difference" and not _said_again(heard, each.start) for each in told)
    return beside or any(each.perhaps or each.runs_on or each.role == "shelf" for each in told)


def differs_from_past(heard: Understanding) -> bool:
    """True for "it was thirty eight, up five": what it reads now was not told."""
    past = load_lexicon(heard.language).list("past_only")
    of = [each for each in heard.number_roles if each.role == "difference"]
    numbers = [m for m in heard.free_measures if m.kind in _TOLD]
    others = [m for m in numbers if not any(each.start <= m.start < each.end for each in of)]
    timed = {q.start for q in heard.quantities if q.marker == "at"} - {m.start for m in numbers[:1]}
    told = [{*heard.words[max(0, m.start - 2) : m.start]} & past for m in others if m.start not in timed]
    return bool(of and told) and all(told)


def words_of_others(heard: Understanding, *roles: Of) -> set[int]:
    """Return where the words of numbers stand that nobody read off, of ``roles`` where any are given.

    The name of a place that somebody set to one is still told.
    """
    others = (each for each in other_numbers(heard) if not roles or each.role in roles)
    return {i for each in others for i in range(each.start, each.end)} - _named(heard)


def said_without(heard: Understanding, gone: Collection[int]) -> tuple[str, ...]:
    """Return the words without some; a comma stands where two numbers would meet that others parted."""
    others, digits = words_of_others(heard), language(heard.language).numbers
    kept = [i for i in range(len(heard.words)) if i not in gone]
    named = _named(heard)
    ends = {i for i in kept if i + 1 in others and i not in named and digits.is_number_word(heard.words[i])}
    told = zip(kept, heard.said(kept), strict=True)
    return tuple(f"{word}," if i in ends and word[-1:] != "," else word for i, word in told)


def _named(heard: Understanding) -> set[int]:
    return {i for s in heard.names.get("equipment", ()) for i in range(s.start, s.end)}


def _found(row: _Row, heard: Understanding) -> Iterator[OtherNumber]:
    """Give where a row is said: of a whole number, in one clause, and not of a place's name."""
    grammar, words = language(heard.language).numbers, heard.words
    named = _named(heard)
    articles = load_lexicon(heard.language).list("deed_articles")
    spans = ((at, end) for at, ends in pattern_of(row.pattern, heard.language).every(heard) for end in ends)
    for start, end in spans:
        runs = [(at, *n) for at in range(start, end) for n in heard.numbers_from(at) if n[0] <= end]
        first = min((at for at, *_ in runs), default=start)
        none = (start, start, frozenset[Decimal]())
        at, until, values = max((r for r in runs if r[0] == first), key=lambda run: run[1], default=none)
        before = words[start - 1] if start and start not in heard.breaks and start - 1 not in named else ""
        torn = row.pattern.startswith(NUMBER) and before and grammar.is_number_word(before)
        torn = torn or (row.role == "count" and before in articles)  # "the two of them" are all
        more = end not in heard.breaks and any(map(grammar.is_number_word, words[end : end + 1]))
        runs_on = until == end and more
        torn = torn or (row.role == "difference" and more and (runs_on or row.pattern.endswith(NUMBER)))
        apart = _apart(row, heard, (start, end)) or (row.role == "thing" and more)
        own = {end} if row.pattern.startswith(NUMBER) else {at, end}  # "less than an hour", "set for an hour"
        lasts = any(m.kind == "duration" and m.start in own for m in heard.measures)
        told = row.unless and before in load_lexicon(heard.language).list(row.unless)
        untrue = torn or apart or lasts or told
        if min(values, default=0) <= row.most and not untrue and _ended(row, heard, end):
            yield from (replace(o, runs_on=runs_on) for o in _as_told(row, heard, (start, end), values))


def _apart(row: _Row, heard: Understanding, span: tuple[int, int]) -> bool:
    """True where a comma, a place or what the words mean otherwise parts a number from what it is of."""
    start, end = span
    breaks = heard.breaks & {*range(start + 1, end)}
    places = [s for s in heard.names.get("equipment", ()) if start < s.end and s.start < end]
    if row.role == "thing" and not (breaks or places):
        return load_lexicon(heard.language).says(heard.words[max(0, start - 1) : end], "no_paper")
    settable = all(heard.may_read(THERMOSTAT, place.value, Decimal(0)) for place in places)
    return bool(breaks or (places and row.role != "set")) or not settable


def _ended(row: _Row, heard: Understanding, end: int) -> bool:
    """True where the words behind a row leave it what it is: none, a comma, or those that nobody counts."""
    lexicon = load_lexicon(heard.language)
    small = {"clause": lexicon.list("asides"), "words": lexicon.small(*_BEHIND)}.get(row.ends)
    over = end == len(heard.words) or end in heard.breaks
    return small is None or over or heard.words[end] in small


def _as_told(
    row: _Row, heard: Understanding, span: tuple[int, int], values: frozenset[Decimal]
) -> Iterator[OtherNumber]:
    """Give a number as what its row tells, or as what may be a reading."""
    start, end = span
    limit = None
    if row.pattern.count(NUMBER) > 1:
        limit = next((m for m in heard.measures if start < m.start < end <= m.end), None)
        if limit is None or limit.kind not in _TOLD:
            return  # "forty over two hours"
    far = limit is not None and min(values) * _FAR < limit.value
    if row.surely or far:
        perhaps = False
    elif row.role == "set":
        perhaps = bool(heard.names.get("food")) and not heard.names.get("equipment")
    elif row.beside:
        perhaps = not _another(heard, span)
    else:
        perhaps = _may_be_read(heard, span, values) and not _said_again(heard, start)
    yield OtherNumber(row.role, start, end, perhaps)


def _another(heard: Understanding, span: tuple[int, int]) -> bool:
    """True where another number is told than that of a stretch, of no name, shelf or time that passes."""
    gone = {*range(*span)} | _named(heard)
    gone |= {i for m in heard.measures if m.kind not in _TOLD for i in range(m.start, m.end)}
    shelves = load_lexicon(heard.language).list("deed_shelves")
    gone |= {i for i in range(1, len(heard.words)) if heard.words[i - 1] in shelves}
    return any(heard.numbers_from(i) for i in range(len(heard.words)) if i not in gone)


def _may_be_read(heard: Understanding, span: tuple[int, int], values: frozenset[Decimal]) -> bool:
    """True where what is named in the clause, or anywhere where nothing is named in it, may read so much."""
    first = max((b for b in heard.breaks if b <= span[0]), default=0)
    last = min((b for b in heard.breaks if b >= span[1]), default=len(heard.words))
    told = [(kind, s) for kind in ("equipment", "food") for s in heard.names.get(kind, ())]
    here = [each for each in told if first <= each[1].start < last] or told
    if not here:
        row = span[0] in heard.breaks and any(m.kind in _TOLD and m.end == span[0] for m in heard.measures)
        return row or min(values) > _MOST_APART  # "all three are four, five, eight too warm"
    return any(heard.may_read(kind, s.value, value) for kind, s in here for value in values)


def _said_again(heard: Understanding, start: int) -> bool:
    """True behind "that's", where a reading stands before it: "thirty nine, that's two higher"."""
    before = heard.words[max(0, start - 2) : start]
    points = load_lexicon(heard.language).says(before, "points_back")
    return points and any(m.kind in _TOLD and m.end < start for m in heard.measures)
