"""The times of a report: every way to hear which words tell when it was, since when, or how long."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import islice, pairwise, product
from typing import Literal

from intents.language import language
from intents.lexicon import Lexicon
from intents.meaning import Role
from intents.mentions import MASK, Understanding
from intents.number_roles import words_of_others
from intents.quantities import Clock, Day, Meaning, Moment, Quantity, Span, quantities

Part = Literal["at", "since", "span", "ahead", "plan"]
"""When it was, since when it has been so, for how long, when it will be, or for how long it is to go on."""
MOST_WAYS = 24
_ALIKE = 2
"""Numbers of a row are at most so many times as large as those beside them (judgement)."""
_HOURS = 24
_SINCE = ("since", "from")
AHEAD = ("by", "until", "in", "every")
TO_COME = ("by", "until")
BEFORE_A_TIME = ("at", *_SINCE, *AHEAD, "before", "after")
TOLD_BY_NET: dict[Role, Part] = {"at": "at", "since": "since", "span": "span"}


@dataclass(frozen=True, slots=True)
class Told:
    """Words from ``start`` to ``end`` that tell a time, with the small words that carry it.

    ``bare`` words are a plain number, too ("at two thirty"). ``hedged``: "about six"; ``beside``: "before".
    """

    start: int
    end: int
    part: Part
    meaning: Clock | Moment | Day | Span
    bare: bool = False
    hedged: bool = False
    beside: bool = False

    @property
    def words(self) -> range:
        """Where its words are."""
        return range(self.start, self.end)


Way = tuple[Told, ...]
Place = tuple[int, int]
"""Where a number begins and ends."""


def ways(heard: Understanding, lexicon: Lexicon, roles: tuple[Role, ...]) -> tuple[Way, ...]:
    """Return every way to hear the times of an utterance, the one with fewest bare ones first.

    No part of a place's name ("on the third sink") is a time. ``roles`` are the net's, one a word.
    """
    words, roles = heard.words, roles if len(roles) == len(heard.words) else ()
    named = {i for s in heard.names.get("equipment", ()) for i in range(s.start, s.end)}
    named |= words_of_others(heard)
    closed = named | heard.breaks  # behind which nothing is counted: "around one, because ..."
    spoken = tuple(MASK if i in named else word for i, word in enumerate(words))
    runs = quantities(spoken, lexicon.language, heard.breaks)
    ends, alike = {q.end for q in runs}, set(_in_a_row(runs, words, lexicon))
    roles = tuple("value" if i in alike else role for i, role in enumerate(roles))
    each = [tuple(dict.fromkeys(_heard(q, words, lexicon, roles, ends, closed))) for q in runs]
    found = (
        tuple(told for part in way for told in part if not _in_a_change(told, words, lexicon))
        for way in islice(product(*each), MOST_WAYS * 4)
    )
    return tuple(dict.fromkeys(sorted(found, key=_plainness)))[:MOST_WAYS]


def _in_a_row(runs: tuple[Quantity, ...], words: tuple[str, ...], lexicon: Lexicon) -> Iterator[int]:
    """Give the words of numbers beside others of their size: "two twenty, two forty" are no times."""
    for one, other in pairwise(runs):
        sizes = [max(q.values, default=Decimal(0)) for q in (one, other)]
        alike = min(sizes) > 0 and max(sizes) <= min(sizes) * _ALIKE and not other.marker
        if alike and {*words[one.end : other.start]} <= lexicon.list("list_joins"):
            yield from (*range(one.start, one.end), *range(other.start, other.end))


def beside(told: Told, words: tuple[str, ...], numbers: Iterable[Place], lexicon: Lexicon) -> Place | None:
    """Return the number that a time was told with; "now" beside a number keeps every other time from it."""

    def far(number: Place) -> int:
        start, end = number
        if end <= told.start:
            return told.start - end
        was = lexicon.list("past_only") & {*words[told.end : start]}  # "at ten it was forty four"
        return -1 if was else start - told.end

    return min((each for each in numbers if not said_now(each, words, lexicon)), key=far, default=None)


def said_now(number: Place, words: tuple[str, ...], lexicon: Lexicon) -> bool:
    """True for "now" beside a number."""
    now = (lexicon.list("told_now") & lexicon.list("present_is")) - lexicon.list("read_at")
    start, end = number
    return bool(now & {*words[start - 1 : start], *words[end : end + 1]})


def _in_a_change(told: Told, words: tuple[str, ...], lexicon: Lexicon) -> bool:
    """True for the "twenty to one" of "went from one twenty to one forty": two numbers and no time."""
    grammar = language(lexicon.language).numbers
    inside = told.part == "at"
    at = told.start - 1
    while at >= 0 and (grammar.is_number_word(words[at]) or words[at] in grammar.RANGE_WORDS):
        at -= 1
    opened = at >= 0 and words[at] in lexicon.list("told_before") & lexicon.list("cooling_from")
    return inside and opened and bool({*words[at + 1 : told.end]} & {*grammar.RANGE_WORDS})


def _plainness(way: Way) -> tuple[int, int]:
    return sum(told.bare for told in way), -len(way)


def _heard(
    quantity: Quantity,
    words: tuple[str, ...],
    lexicon: Lexicon,
    roles: tuple[Role, ...],
    ends: set[int],
    closed: set[int],
) -> Iterator[Way]:
    """Give the ways of one run: as one time, cut into numbers and times, or all numbers.

    What is one time as a whole ("this morning at nine") is not two of them.
    """
    whole = _told(quantity, words, lexicon, roles, closed)
    for parts in ((quantity,), *quantity.splits):
        told = [_told(part, words, lexicon, roles, closed) for part in parts]
        if len(parts) > 1:  # a number is never cut in two to make a time of its end
            apart = [
                t is None or not t.bare or not _touches(p, parts) for t, p in zip(told, parts, strict=True)
            ]
            told = [t if good else None for t, good in zip(told, apart, strict=True)]
        surely = tuple(
            t
            for t, part in zip(told, parts, strict=True)
            if t is not None and (not t.bare or (part.marker in TO_COME and t.start in ends))
        )  # "three degrees, by four": four was read nowhere
        if whole is not None and not whole.bare and 1 < len(parts) == len(surely):
            continue
        perhaps = tuple(t for t in told if t is not None)
        if all(t is not None or part.values for t, part in zip(told, parts, strict=True)):
            yield surely
            yield perhaps


def _touches(part: Quantity, parts: tuple[Quantity, ...]) -> bool:
    return any(other.end == part.start or other.start == part.end for other in parts)


def _told(
    part: Quantity, words: tuple[str, ...], lexicon: Lexicon, roles: tuple[Role, ...], closed: set[int]
) -> Told | None:
    """Return the time that one run of words tells, or ``None`` where they tell none."""
    start, end = _with_its_words(part, words, lexicon)
    role = _role(part, roles)
    valued = start > 0 and (_is_number(words[start - 1], lexicon) or roles[start - 1 : start] == ("value",))
    if role == "since" and part.marker in ("", "at") and valued:
        role = "at"  # "was forty three at noon" was read then, and so was "forty degrees an hour ago"
    for meaning in part.meanings:
        which = _part(meaning, part.marker, role)
        if which is None or not isinstance(meaning, (Clock, Moment, Day, Span)):
            continue
        clock = meaning.clock if isinstance(meaning, Moment) else None
        if clock is not None and not clock.worded and closed & {*range(part.start + 1, part.end)}:
            continue  # "thick today, one fifty one"
        if isinstance(meaning, Span) and set(words[start:end]) & lexicon.list("to_go_on"):
            which = "plan"  # "for four more minutes"
        if isinstance(meaning, Day) and {*words[start : part.end]} & lexicon.list("meant_for"):
            which = "plan"  # "I cool it for tomorrow"
        bare = isinstance(meaning, Clock) and not meaning.worded
        if bare and part.marker not in BEFORE_A_TIME and (role not in TOLD_BY_NET or part.marker == "on"):
            continue  # "forty on two" is of a place
        other = {*words[max(0, start - _ALIKE) : start]} & lexicon.list("points_other")
        if bare and other and max(part.values, default=0) > _HOURS:
            continue  # "one at one sixty five, the other at one fifty"
        small = lexicon.small("after_time") - lexicon.list("numbers_words")
        behind = {*words[part.end : part.end + 1]} if part.end - part.start == 1 else set[str]()
        stated = behind & (lexicon.list("present_is") & lexicon.list("read_at")) - lexicon.list("still_it")
        counts = behind - small and part.end not in closed
        if bare and part.marker not in BEFORE_A_TIME and (counts or stated or _of_now(part, words, lexicon)):
            continue  # "took four temps", "and three is forty", "one thirty now"
        beside = part.marker in ("before", "after")
        return Told(start, end, which, meaning, bare, part.about or beside, beside)
    return None


def _of_now(part: Quantity, words: tuple[str, ...], lexicon: Lexicon) -> bool:
    """True for "one thirty now", a number; "it's one thirty now" may tell the time."""
    it = {*words[max(0, part.start - 1) : part.start]} & lexicon.list("present_is")
    return said_now((part.end, part.end), words, lexicon) and not it


def _is_number(word: str, lexicon: Lexicon) -> bool:
    return language(lexicon.language).numbers.is_number_word(word)


def _part(meaning: Meaning, marker: str, role: Role | None) -> Part | None:
    if marker in _SINCE:
        return "since" if isinstance(meaning, (Clock, Moment, Day)) else None
    match meaning:
        case Moment(anchor="now", offset=offset) if offset > 0:
            return "ahead"
        case Moment() | Day() | Clock():
            return "ahead" if marker in AHEAD else "since" if role == "since" else "at"
        case Span():
            return "ahead" if marker in AHEAD else "span"
    return None


def _role(part: Quantity, roles: tuple[Role, ...]) -> Role | None:
    """Return the role that the net gives to most of the words."""
    told = roles[part.start : part.end]
    return max(told, key=told.count, default=None)


def _with_its_words(part: Quantity, words: tuple[str, ...], lexicon: Lexicon) -> tuple[int, int]:
    """Return where the time and the small words that only carry it begin and end ("it's about six sharp")."""
    start = min((m.start for m in part.marks if m.end <= part.start), default=part.start)
    end = max((m.end for m in part.marks), default=part.end)
    start, end = min(start, part.start), max(end, part.end)
    while start and words[start - 1] in lexicon.list("before_time"):
        start -= 1
    while end < len(words) and words[end] in lexicon.list("after_time"):
        end += 1
    return start, end


def without(heard: Understanding, spans: Iterable[range]) -> tuple[str, ...]:
    """Return the words of ``heard`` without those in ``spans``, with the commas between them."""
    return heard.said({*range(len(heard.words))}.difference(*spans))
