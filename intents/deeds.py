"""Deeds told in one breath: what was thrown out, moved, washed, changed or refused, each with what it was done to.

A grammar over marked words: every word gets a class (``_CLASSES``), amounts are runs of classes, and foods,
places and numbers belong to the deed on their side of a joint. Nothing is decided here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Literal

from intents.language import language
from intents.lexicon import Lexicon, Span, load_lexicon
from intents.mentions import UNIT_KINDS, Measure, Understanding

Kind = Literal["thrown", "moved", "washed", "gloved", "remade", "emptied", "refused"]
KINDS: tuple[Kind, ...] = ("moved", "remade", "emptied", "washed", "gloved", "refused", "thrown")
Spans = list[tuple[int, int]]
OF_BUCKETS: frozenset[Kind] = frozenset({"remade", "emptied"})
OF_FOOD: frozenset[Kind] = frozenset({"thrown", "moved", "refused"})
"""Kinds of deeds that are done to food."""
WEIGHED = frozenset(name for name, (kind, _) in UNIT_KINDS.items() if kind in ("weight", "volume"))
_WORDS_BETWEEN = 3
"""So many small words may stand between "have to" or "didn't" and the verb."""
_CLASSES = {  # the later wins
    "a": "articles", "o": "of", ".": "small", "E": "hedges", "D": "doers", "&": "joints", "s": "shelf_words",
    "S": "shelves", "J": "already", "B": "buckets", "A": "all", "L": "sizes", "K": "containers", "H": "halves",
}  # fmt: skip
"""Classes of words by a letter. Besides: F food, P place, N number, U unit, V a deed's verb, ? any other;
small f, p and v go on with a name or verb."""
_SMALL = frozenset(".aoEA&DJvVLs")
"""Classes of words that say nothing of their own."""
_TAKES: dict[Kind, str] = {
    "moved": "PpSsN", "remade": "PpBbN", "emptied": "PpBbN", "refused": "P", "thrown": "P", "washed": "", "gloved": "",
}  # fmt: skip
"""Classes of words that a deed takes besides foods and amounts."""
_AMOUNT = re.compile(
    r"E*(?:[aAL]*(?:N+[&a]*HU|N+[&a]*HL*K|[aN]N*[UK]&a*H|HaN?U|HU|Ha?L*K|N+UK|N+U|aU|AU|a?N+L*K+|[aAL]+K)|[aN]+H|N+|A+)"
)
_BEFORE_FOOD = re.compile(r"[oaAL]*F")
_UNKNOWN = re.compile(r"[oaALNUKHE]*[oa](?P<name>[?]{1,2})(?=$|[^?Ffv])")
_TO = re.compile(r"[.ao]*(?:P|S|s+(?!F)|N?S)")


@dataclass(frozen=True, slots=True)
class Item:
    """A food (empty: the one spoken of) and how much of it was told (empty: nothing), in the words said."""

    food: str = ""
    amount: str = ""
    counted: bool = False  # the amount is a bare number: "two eggs"
    measured: bool = False  # the amount has a unit or a container
    words: tuple[int, ...] = ()  # where the amount stands


@dataclass(frozen=True, slots=True)
class Deed:
    """What was done, to which foods, at which places or shelf.

    ``spans`` are its words; ``planned`` deeds are to come, ``denied`` ones were not done, ``bare`` ones may
    be orders.
    """

    kind: Kind
    start: int
    end: int
    items: tuple[Item, ...] = ()
    places: tuple[str, ...] = ()
    origin: str = ""
    spans: tuple[tuple[int, int], ...] = ()
    it: bool = False
    everything: bool = False
    planned: bool = False
    denied: bool = False
    bare: bool = False


@dataclass(frozen=True, slots=True)
class Breath:
    """The deeds of an utterance; ``left`` are words of no deed that say something else."""

    deeds: tuple[Deed, ...] = ()
    left: tuple[int, ...] = ()
    used: frozenset[int] = frozenset()  # words of amounts, foods and places that a deed has


@dataclass(slots=True)
class _Marks:
    words: tuple[str, ...]
    classes: str
    lexicon: Lexicon
    heads: list[tuple[int, int, Kind]] = field(default_factory=list)
    names: dict[int, str] = field(default_factory=dict)
    ends: dict[int, int] = field(default_factory=dict)
    measures: dict[tuple[int, int], Measure] = field(default_factory=dict)

    def find(self, letters: str, start: int, end: int) -> int:
        """Return the first word of one of the classes, or -1."""
        return next((i for i in range(start, end) if self.classes[i] in letters), -1)


def breath(
    read: Understanding, lexicon: Lexicon, foods: Iterable[Span] = (), places: Iterable[Span] = ()
) -> Breath:
    """Return the deeds that ``read`` tells.

    ``foods`` are words that name a food which no table has, ``places`` those that name a place in short.
    """
    marks = _marked(read, lexicon, foods, places)
    if not marks.heads:
        return Breath()
    used: set[int] = set()
    deeds = tuple(_deed(marks, head, spans, used) for head, spans in _shares(marks))
    left = (i for i, c in enumerate(marks.classes) if c not in _SMALL and i not in used)
    return Breath(deeds, tuple(left), frozenset(used))


def amounts(read: Understanding, lexicon: Lexicon) -> tuple[Item, ...]:
    """Return the foods with their amounts of what was thrown out, or of words that are only an amount."""
    thrown = [deed for deed in breath(read, lexicon).deeds if deed.kind == "thrown"]
    if thrown:
        return tuple(item for deed in thrown for item in deed.items)
    marks = _marked(read, lexicon)
    return _items(marks, [(0, len(marks.words))], set())


def _marked(
    read: Understanding, lexicon: Lexicon, foods: Iterable[Span] = (), places: Iterable[Span] = ()
) -> _Marks:
    words, grammar = read.words, language(read.language).numbers
    known = _by_word(lexicon.language)
    units = {s.start for s in read.concepts if s.value in WEIGHED}
    held = {s.start for s in read.concepts if s.value == "container_word"}
    classes = []
    for at, word in enumerate(words):
        number = grammar.is_number_word(word) or grammar.is_numeral(word)
        letter = "N" if number else "U" if at in units else known.get(word, "K" if at in held else "?")
        classes.append(letter)
    marks = _Marks(words, "", lexicon)
    marks.measures = {(m.start, m.end): m for m in read.measures if m.unit and len(m.options) == 1}
    for span in read.names.get("person", ()):
        classes[span.start : span.end] = ["."] * (span.end - span.start)
    named = [(s, "P") for s in (*read.names.get("equipment", ()), *places)]
    named += [(s, "F") for s in read.names.get("food", ())]
    named += [(s, "F") for each in foods for s in _unknown(each, classes, words)]
    for span, letter in named:
        start, end, value = span.start, span.end, span.value
        if any(classes[i] in "FfPp" for i in range(start, end)):
            continue
        classes[start:end] = [letter] + [letter.lower()] * (end - start - 1)
        marks.names[start], marks.ends[start] = value, end
    heads = [h for h in _verbs(words, lexicon) if not any(classes[i] in "FfPp" for i in range(h[0], h[1]))]
    for start, end, _ in heads:
        classes[start:end] = ["V"] + ["v"] * (end - start - 1)
    marks.classes = "".join(classes)
    marks.heads = _sure(marks, heads)
    for start, end, _ in set(heads) - set(marks.heads):
        letters = ["K" if words[i] in known and known[words[i]] == "K" else "." for i in range(start, end)]
        classes[start:end] = letters
    marks.classes = "".join(classes)
    return marks


def _unknown(span: Span, classes: list[str], words: tuple[str, ...]) -> Iterator[Span]:
    """Give the stretches of a name that are no other word of the grammar."""
    at = span.start
    while at < span.end:
        end = at
        while end < span.end and classes[end] == "?":
            end += 1
        if end > at:
            yield Span("food", " ".join(words[at:end]), at, end)
        at = max(end, at + 1)


@cache
def _by_word(code: str) -> dict[str, str]:
    lexicon = load_lexicon(code)
    return {word: letter for letter, name in _CLASSES.items() for word in lexicon.list(f"deed_{name}")}


@cache
def _phrases(code: str) -> dict[tuple[str, ...], Kind]:
    lexicon = load_lexicon(code)
    return {tuple(each.split()): kind for kind in KINDS for each in lexicon.list(f"deed_{kind}")}


def _verbs(words: tuple[str, ...], lexicon: Lexicon) -> list[tuple[int, int, Kind]]:
    """Return the deeds' verbs from left to right, the longest at each place."""
    phrases, found, at = _phrases(lexicon.language), [], 0
    longest = max(map(len, phrases))
    while at < len(words):
        sizes = range(min(longest, len(words) - at), 0, -1)
        size = next((n for n in sizes if words[at : at + n] in phrases), 0)
        if size:
            found.append((at, at + size, phrases[words[at : at + size]]))
        at += size or 1
    return found


def _sure(marks: _Marks, heads: list[tuple[int, int, Kind]]) -> list[tuple[int, int, Kind]]:
    """Leave out what only looks like a verb ("the bin", "is in" without a place), and a deed told twice."""
    found: list[tuple[int, int, Kind]] = []
    for n, (start, end, kind) in enumerate(heads):
        stop = heads[n + 1][0] if n + 1 < len(heads) else len(marks.words)
        noun = end == start + 1 and start and marks.classes[start - 1] in "aNL"
        noun = noun and marks.words[start - 1] not in marks.lexicon.list("deed_it")
        if noun and marks.words[start] in marks.lexicon.list("deed_bare"):
            continue
        if kind == "moved" and not _goes_somewhere(marks, start, end, heads[n + 1 :]):
            continue
        if kind in OF_BUCKETS and not _of_a_bucket(marks, found, start, end):
            continue
        if found and _same_deed(marks, found[-1], (start, end, kind), stop):
            before = found.pop()
            found.append((before[0], before[1], before[2]) if kind == before[2] else (start, end, kind))
            continue
        found.append((start, end, kind))
    return found


def _of_a_bucket(marks: _Marks, found: list[tuple[int, int, Kind]], start: int, end: int) -> bool:
    """True where a bucket is named, a number or "one" follows, or the old solution was dumped just before."""
    dumped = bool(found) and found[-1][2] in ("thrown", "emptied") and start - found[-1][1] <= _WORDS_BETWEEN
    one = bool(set(marks.words[start:end]) & marks.lexicon.list("deed_new_one"))
    beside = "N" in (marks.classes[end : end + 1], marks.classes[start - 1 : start])
    return dumped or one or beside or marks.find("B", 0, len(marks.words)) >= 0 or (
        marks.find("P", 0, len(marks.words)) >= 0
    )


def _goes_somewhere(marks: _Marks, start: int, end: int, after: list[tuple[int, int, Kind]]) -> bool:
    """True where a place or shelf follows: right behind a preposition, anywhere before the next deed else."""
    last = marks.words[end - 1]
    if last in marks.lexicon.list("deed_small") and last not in marks.lexicon.list("deed_doers"):
        return _TO.match(marks.classes, end) is not None
    stop = next((s for s, _, kind in after if kind != "moved"), len(marks.words))
    return marks.find("PSs", end, stop) >= 0


def _same_deed(
    marks: _Marks, before: tuple[int, int, Kind], this: tuple[int, int, Kind], stop: int
) -> bool:
    """True for "tossed it in the bin", "put it into the box" and "dumped it, made a new one"."""
    between = marks.classes[before[1] : this[0]]
    if this[2] == "remade" and before[2] in ("thrown", "emptied"):
        return not set(between) - set("aB.&DPpN")
    if this[2] != before[2]:
        return False
    if this[2] == "moved":
        return "P" not in between and "S" not in between and "&" not in between
    behind = marks.find("FNUKH", this[1], stop)
    return behind < 0 and not (this[2] == "thrown" and "&" in between and "F" in between)


def _shares(marks: _Marks) -> Iterator[tuple[tuple[int, int, Kind], Spans]]:
    """Give each deed's verb with the stretches of words that are its own."""
    heads, count = marks.heads, len(marks.words)
    shares: list[Spans] = [[] for _ in heads]
    first = heads[0]
    active = marks.find("FNUKHABP", first[1], heads[1][0] if len(heads) > 1 else count) >= 0
    done_by = any(c == "D" for c in marks.classes[max(0, first[0] - 2) : first[0]])
    if not (active and done_by) or first[2] == "moved":
        shares[0].append((0, first[0]))
    for n, (_, end, kind) in enumerate(heads):
        if n + 1 == len(heads):
            shares[n].append((end, count))
            break
        cut = _cut(marks, end, heads[n + 1][0], kind, heads[n + 1][2])
        shares[n].append((end, cut))
        shares[n + 1].append((cut, heads[n + 1][0]))
    yield from zip(heads, shares, strict=True)


def _cut(marks: _Marks, start: int, end: int, left: Kind, right: Kind) -> int:
    """Return where the words between two verbs pass from the left deed to the right one."""
    if left == "moved" and (place := marks.find("PS", start, end)) >= 0:
        behind = marks.find("F", place, end)
        start = behind if behind >= 0 else start
        if behind >= 0:
            return behind
    if right in OF_FOOD or right in OF_BUCKETS:
        joints = [i for i in range(start, end) if marks.classes[i] in "&D"]
        if joints and right != "washed":
            return joints[-1]
    if right in OF_BUCKETS and left not in OF_BUCKETS:
        at = marks.find("BP", start, end)
        return at if at >= 0 else end
    if right == "moved":  # "rest are in the drawer": what stands right before is what went there
        at = marks.find("A", start, end)
        return at if at >= 0 and end - at == 1 else end
    return end


def _deed(marks: _Marks, head: tuple[int, int, Kind], spans: Spans, used: set[int]) -> Deed:
    start, end, kind = head
    items = _items(marks, spans, used, end) if kind in OF_FOOD else ()
    if kind in OF_FOOD and not any(item.food for item in items) and (named := _named_so(marks, end, spans)):
        used.update(named)
        food = " ".join(marks.words[i] for i in named)
        items = tuple(replace(item, food=food) for item in items[:1] or (Item(),))
    inside = [i for a, b in spans for i in range(a, b)]
    takes = _TAKES[kind]
    used.update(i for i in inside if marks.classes[i] in takes and _of_it(marks, kind, i))
    of_it = marks.lexicon.list("deed_it")
    places = [i for i in inside if marks.classes[i] == "P"]
    stuff, every = marks.lexicon.list("deed_stuff"), marks.lexicon.list("deed_all")
    origin = [
        i
        for i in places
        if set(marks.words[max(0, i - 2) : i]) & marks.lexicon.list("deed_from")
        or set(marks.words[marks.ends[i] : marks.ends[i] + 1]) & stuff
    ]
    bare = " ".join(marks.words[start:end]) in marks.lexicon.list("deed_bare")
    planned = _before(marks, start, marks.lexicon.list("deed_planned"))
    used.update(planned)
    return Deed(
        kind, start, end, items,
        places=tuple(marks.names[i] for i in places if i not in origin),
        origin=next((marks.names[i] for i in origin), ""),
        spans=tuple(spans),
        it=any(marks.words[i] in of_it for i in (*inside, *range(start, end))),
        everything=any(marks.words[i] in stuff | every for i in (*inside, *range(start, end))),
        planned=bool(planned),
        denied=bool(_before(marks, start, marks.lexicon.list("deed_denied"))),
        bare=bare and not _done_by(marks, start),
    )  # fmt: skip


def _of_it(marks: _Marks, kind: Kind, at: int) -> bool:
    """True but for a number in words of a move that is no shelf's: "six point five, so we moved the lot"."""
    if kind != "moved" or marks.classes[at] != "N":
        return True
    around = marks.classes[max(0, at - 1) : at + 2]
    return "S" in around or (at > 0 and marks.words[at - 1] in marks.lexicon.list("deed_to"))


def _named_so(marks: _Marks, end: int, spans: Spans) -> range:
    """Return the unknown words right behind a verb and an article, which name a food: "dumped the dip"."""
    match = _UNKNOWN.match(marks.classes, end)
    if match is None or not any(start == end for start, _ in spans):
        return range(0)
    behind = marks.words[match.end("name") : match.end("name") + 1]
    of_it = set(behind) & marks.lexicon.list("deed_it")  # "a pound of dead ones"
    return range(0) if of_it else range(match.start("name"), match.end("name"))


def _done_by(marks: _Marks, start: int) -> bool:
    return any(marks.classes[i] in "DJ" for i in range(max(0, start - 2), start))


def _before(marks: _Marks, start: int, phrases: Iterable[str]) -> range:
    """Return the words of one of ``phrases`` before a verb and what is between; none where none is there."""
    said = [tuple(phrase.split()) for phrase in phrases]
    for at in range(max(0, start - _WORDS_BETWEEN - 3), start):
        for phrase in said:
            end = at + len(phrase)
            if end <= start and marks.words[at:end] == phrase and start - end <= _WORDS_BETWEEN:
                counted = at > 0 and marks.classes[at - 1] == "N"  # "one can of peaches"
                if not counted and not set(marks.classes[end:start]) & set("FNUKPV&HD"):
                    return range(at, start)
    return range(0)


def _items(marks: _Marks, spans: Spans, used: set[int], verb_end: int = 0) -> tuple[Item, ...]:
    """Return the foods of some stretches with their amounts.

    A bare number counts before a food and right behind the verb only.
    """
    found = [item for start, end in spans for item in _stretch(marks, start, end, used, verb_end)]
    named = [item for item in found if item.food]
    told = [item for item in found if not item.food]
    if not named and told:  # "whole pot, five litres"
        named = [next((i for i in reversed(told) if i.measured), told[0])]
    elif len(named) == 1 and not named[0].measured and any(item.measured for item in told):
        best = next(item for item in told if item.measured)  # "the limes, like two dozen"
        named = [replace(best, food=named[0].food)]
    used.update(i for item in named for i in item.words)
    return tuple(named)


def _stretch(marks: _Marks, start: int, end: int, used: set[int], verb_end: int) -> list[Item]:
    found: list[Item] = []
    amount: tuple[int, int] | None = None  # told just before a food
    at = start
    foods_first = _foods_first(marks, start, end)
    while at < end:
        if marks.classes[at] == "F" and at in marks.names:
            used.update(range(at, marks.ends[at]))
            found.append(_item(marks, marks.names[at], amount))
            amount, at = None, marks.ends[at]
            continue
        match = _AMOUNT.match(marks.classes, at, end) if marks.classes[at - 1 : at] != "S" else None
        if match is None:
            at += 1
            continue
        span, at = (at, match.end()), match.end()
        last = found[-1] if found and found[-1].food else None
        bare = not set(marks.classes[slice(*span)]) - set("aNE")
        vague = last is not None and not last.measured
        if _BEFORE_FOOD.match(marks.classes, at, end) and not (foods_first and vague):
            amount = span
        elif bare and span[0] != verb_end:
            continue  # "at nine thirty", "the crema's fifty": they count nothing
        elif last is not None and vague and not last.counted:
            found[-1] = _item(marks, last.food, span)
        elif last is None:
            found.append(_item(marks, "", span))
    return found


def _foods_first(marks: _Marks, start: int, end: int) -> bool:
    """True for "guacamole five pounds, pico four pounds": from a food to an amount."""
    letters = re.sub(r"[^FNUKHA]", "", marks.classes[start:end])
    return letters[:1] == "F" and letters[-1:] in ("U", "K", "H", "N")


def _item(marks: _Marks, food: str, span: tuple[int, int] | None) -> Item:
    if span is None:
        return Item(food)
    start, end = span
    letters = marks.classes[start:end]
    counted = not set(letters) - set("NE") or marks.words[end - 1] in marks.lexicon.list("deed_dozens")
    measured = any(c in "UKH" for c in letters)
    return Item(food, _shown(marks, start, end), counted, measured, tuple(range(start, end)))


def _shown(marks: _Marks, start: int, end: int) -> str:
    """Return an amount as it was said ("half a pan"); what was measured in figures ("2.5 kilograms")."""
    weak = start
    while start < end - 1 and marks.classes[start] == "E":
        start += 1
    about = f"{_ABOUT[marks.lexicon.language]} " if start > weak else ""
    inner = start
    while inner < end - 1 and marks.classes[inner] in "aAL":
        inner += 1
    measure = marks.measures.get((start, end)) or marks.measures.get((inner, end))
    if measure is not None:
        value = f"{measure.value.normalize():f}"
        return f"{about}{value} {measure.unit}{'' if measure.value == 1 else 's'}"
    if marks.classes[start] == "a" and marks.words[start] not in _ONE[marks.lexicon.language]:
        start += 1
    return about + " ".join(marks.words[start:end])


_ONE = {"en": ("a", "an", "that", "one"), "es": ("un", "una", "ese", "esa")}
_ABOUT = {"en": "about", "es": "como"}
