"""The words of deeds by their classes, and the verbs that tell of one: what ``deeds`` makes sense of."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Literal

from intents.language import language
from intents.lexicon import Lexicon, Span, load_lexicon
from intents.mentions import UNIT_KINDS, Measure, Understanding

Kind = Literal["thrown", "out", "moved", "washed", "gloved", "remade", "emptied", "refused"]
"""``out`` is told by words that tell of much else: "it goes, three litres", where food is to go."""
KINDS: tuple[Kind, ...] = ("moved", "remade", "emptied", "washed", "gloved", "refused", "out", "thrown")
Spans = list[tuple[int, int]]
"""Stretches of words: the first, and the one behind the last."""
OF_BUCKETS: frozenset[Kind] = frozenset({"remade", "emptied"})
OF_FOOD: frozenset[Kind] = frozenset({"thrown", "out", "moved", "refused"})
"""Kinds of deeds that are done to food."""
WEIGHED = frozenset(name for name, (kind, _) in UNIT_KINDS.items() if kind in ("weight", "volume"))
WORDS_BETWEEN = 3
"""So many small words may stand between "have to" or "didn't" and the verb."""
_CLASSES = {  # the later wins
    "a": "articles", "o": "of", ".": "small", "E": "hedges", "D": "doers", "&": "joints",
    "s": "shelf_words", "S": "shelves", "J": "already", "B": "buckets", "A": "all", "L": "sizes",
    "K": "containers", "H": "halves",
}  # fmt: skip
"""Classes of words by a letter. Besides: F food, P place, N number, U unit, T time, V a deed's verb, ? any
other; small f, p and v go on with a name or verb."""
_SENT = 6
"""So many words after "sent" is "back" looked for."""
_HOLDER = re.compile(r"[Na]FoF")
_BUCKET_OF = re.compile(r"B(?=oa*F)")
_KIND_OF = re.compile(r"o[?]F")
_AND_THERE = re.compile(r"(?<=P)p*&(?=[aoNKULH]*Ff*[.ao]*P)")
_THINGS = re.compile(r"(?:[aoALNUKHE]*(?:Ff*|[?]{0,2})&?)(?:&[aoALNUKHE]*(?:Ff*|[?]{0,2}))*[.]?")
_NEAR = 5
"""So many words behind "into" tell what it was put in."""
_TO = re.compile(r"[.ao]*(?:P|S|s+(?!F)|N?S)")


@dataclass(slots=True)
class Marks:
    """An utterance with a class a word, the deeds' verbs, and names and measures by where they stand."""

    words: tuple[str, ...]
    classes: str
    lexicon: Lexicon
    heads: list[tuple[int, int, Kind]] = field(default_factory=list)
    names: dict[int, str] = field(default_factory=dict)
    ends: dict[int, int] = field(default_factory=dict)
    measures: dict[tuple[int, int], Measure] = field(default_factory=dict)
    cooked: bool = False  # something was thrown in a pan
    breaks: frozenset[int] = frozenset()  # before which words a comma stands
    tellings: frozenset[int] = frozenset()  # where a clause begins that somebody is the subject of

    def find(self, letters: str, start: int, end: int) -> int:
        """Return the first word of one of the classes, or -1."""
        return next((i for i in range(start, end) if self.classes[i] in letters), -1)


def marked(
    read: Understanding,
    lexicon: Lexicon,
    foods: Sequence[Span] = (),
    places: Iterable[Span] = (),
    *,
    bucket: bool = False,
    timed: Iterable[int] = (),
) -> Marks:
    """Return the classes of the words of ``read``; see ``deeds.breath``."""
    words, grammar = read.words, language(read.language).numbers
    known = _by_word(lexicon.language)
    units = {s.start for s in read.concepts if s.value in WEIGHED}
    held = {s.start for s in read.concepts if s.value == "container_word"}
    measured = {i for m in read.measures for i in range(m.start, m.end)}
    agreed = {i for s in read.concepts if s.value in ("yes", "no") for i in range(s.start, s.end)}
    dozens = lexicon.list("deed_dozens")
    classes, times, plural = list[str](), set(timed), tuple(lexicon.list("plural_ending"))
    for at, word in enumerate(words):
        number = grammar.is_number_word(word) or grammar.is_numeral(word)
        letter = "N" if number else "U" if at in units else known.get(word, "K" if at in held else "?")
        letter = "." if letter == "?" and at in agreed else letter  # "yep chucked"
        if letter == "?" and classes[-1:] == ["N"] and at not in measured and word.endswith(plural):
            letter = "K"  # "four pats"
        if word in dozens and not set(classes[-1:]) & set("aNHE"):
            letter = "A"  # "the eggs are gone, dozen"
        if letter == "S" and classes[-1:] == ["N"] and word.endswith(plural):
            letter = "K"  # "forty racks"
        if letter == "K" and words[at - 1 : at] == (word,):
            letter = "."  # "four pots, pots are in the pit"
        if letter == "H" and at + 1 < len(words) and grammar.is_number_word(words[at + 1]):
            letter = "."  # "the third one"
        letter = "T" if at in times else letter
        classes.append(letter)
    people = {span.start for span in read.names.get("person", ())}
    doers = lexicon.list("told_by") | lexicon.list("deed_doers")
    tellings = frozenset(at for at in read.breaks if at in people or {*words[at : at + 1]} & doers)
    marks = Marks(words, "", lexicon, breaks=read.breaks, tellings=tellings)
    marks.measures = {(m.start, m.end): m for m in read.measures if m.unit and len(m.options) == 1}
    for span in read.names.get("person", ()):
        classes[span.start : span.end] = ["."] * (span.end - span.start)
    named = [(s, "P") for s in (*read.names.get("equipment", ()), *places)]
    named += [(s, "F") for s in read.names.get("food", ())]
    of_it = lexicon.list("deed_it")  # "a pound of dead ones" names no food
    for at in (s.start for s in foods if s.value in lexicon.list("deed_foods")):
        classes[at] = "?"
    unknown = [s for each in foods for s in _unknown(each, classes, words)]
    named += [(s, "F") for s in unknown if not set(words[s.end : s.end + 1]) & of_it]
    verbs = verbs_in(words, lexicon)
    held_by = lexicon.list("deed_containers")
    for span, letter in named:
        start, end, value = span.start, span.end, span.value
        if classes[start] == "H" and set(words[end : end + 1]) & lexicon.list("deed_of"):
            continue  # "a quarter of a tub" is none of a chicken
        if (
            letter == "F"
            and words[start] in held_by
            and set(words[start + 1 : start + 2]) & lexicon.list("deed_of")
            and end - start > 2
        ):
            classes[start : start + 2] = "Ko"  # "heads of lettuce"
            start, value = start + 2, " ".join(words[start + 2 : end])
        if any(a <= start and end <= b and end - start < b - a for a, b, _ in verbs):
            continue  # the "back" of "sent back" is no cut of meat
        if any(classes[i] in "FfPp" for i in range(start, end)):
            continue
        classes[start:end] = [letter] + [letter.lower()] * (end - start - 1)
        marks.names[start], marks.ends[start] = value, end
    heads = [h for h in verbs if not any(classes[i] in "FfPp" for i in range(h[0], h[1]))]
    for start, end, _ in heads:
        classes[start:end] = ["V"] + ["v"] * (end - start - 1)
    marks.classes = "".join(classes)
    for start in sorted((i for i in marks.names if classes[i] == "F"), reverse=True):
        cut = marks.ends[start]
        if (
            cut in marks.names and classes[cut] == "F" and cut not in marks.breaks
        ):  # "four cod fillets", "fish pie"
            marks.names[start] = f"{marks.names[start]} {marks.names.pop(cut)}"
            marks.ends[start] = marks.ends.pop(cut)
            classes[cut] = "f"
    marks.classes = "".join(classes)
    for start in [i for i in marks.names if _HOLDER.match(marks.classes, max(0, i - 1))]:
        del marks.names[start], marks.ends[start]  # "four fillets of cod"
        classes[start] = "K"
    for at in [m.start() for m in _KIND_OF.finditer("".join(classes)) if m.end() - 1 in marks.names]:
        kind, food = at + 1, marks.names.pop(at + 2)  # "a tub of bean salad"
        marks.names[kind], marks.ends[kind] = f"{words[kind]} {food}", marks.ends.pop(at + 2)
        classes[kind], classes[at + 2] = "F", "f"
    marks.classes = _BUCKET_OF.sub("K", "".join(classes))  # "a bucket of slaw" holds no sanitizer
    classes = [*marks.classes]
    marks.heads = [each for head in _sure(marks, heads, bucket=bucket) for each in _each_to(marks, head)]
    for start, end, _ in set(heads) - set(marks.heads):
        letters = ["K" if words[i] in known and known[words[i]] == "K" else "." for i in range(start, end)]
        classes[start:end] = letters
    marks.classes = "".join(classes)
    return marks


def _each_to(marks: Marks, head: tuple[int, int, Kind]) -> Iterator[tuple[int, int, Kind]]:
    """Give a move once for each place: "moved the cheese to the walk-in and the cream to the drawer"."""
    yield head
    if head[2] == "moved":
        stop = next((i for i in range(head[1], len(marks.words)) if marks.classes[i] == "V"), None)
        found = _AND_THERE.finditer(marks.classes, head[1], stop or len(marks.words))
        yield from ((match.end(), match.end(), "moved") for match in found)


def _of_places(marks: Marks) -> Iterator[int]:
    yield from (i for at, end in marks.ends.items() if marks.classes[at] == "P" for i in range(at, end))


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
def _phrases(code: str) -> tuple[dict[tuple[str, ...], Kind], dict[str, int]]:
    """Return the deeds' verbs with their kinds, and by its first word how long the longest one is."""
    lexicon = load_lexicon(code)
    kinds = {tuple(each.split()): kind for kind in KINDS for each in lexicon.list(f"deed_{kind}")}
    return kinds, {phrase[0]: len(phrase) for phrase in sorted(kinds, key=len)}


def verbs_in(words: tuple[str, ...], lexicon: Lexicon) -> list[tuple[int, int, Kind]]:
    """Return the deeds' verbs from left to right, the longest at each place."""
    phrases, longest = _phrases(lexicon.language)
    found: list[tuple[int, int, Kind]] = []
    at = 0
    while at < len(words):
        sizes = range(min(longest.get(words[at], 0), len(words) - at), 0, -1)
        size = next((n for n in sizes if words[at : at + n] in phrases), 0)
        last = at + size - 1  # "they're in the bin": not in, but thrown out
        sink = range(min(longest.get(words[last], 0), len(words) - last), 2, -1) if size > 1 else ()
        out = next((n for n in sink if phrases.get(words[last : last + n]) == "thrown"), 0)
        if out:
            size += out - 1
            found.append((at, at + size, "thrown"))
        elif size:
            found.append((at, at + size, phrases[words[at : at + size]]))
        at += size or 1
    return found


def _sure(marks: Marks, heads: list[tuple[int, int, Kind]], *, bucket: bool) -> list[tuple[int, int, Kind]]:
    """Leave out what only looks like a verb ("the bin", "is in" without a place), and a deed told twice."""
    found: list[tuple[int, int, Kind]] = []
    for n, (start, end, kind) in enumerate(heads):
        stop = heads[n + 1][0] if n + 1 < len(heads) else len(marks.words)
        noun = end == start + 1 and start and marks.classes[start - 1] in "aNL"
        of_it = marks.lexicon.list("deed_it")
        noun = noun and marks.words[start - 1] not in of_it and not set(marks.words[end : end + 1]) & of_it
        inside = marks.lexicon.list("deed_into") & {*marks.words[max(0, start - _NEAR) : start]}
        noun = noun or (
            bool(inside) and end == start + 1 and marks.words[start] in marks.lexicon.list("deed_waste")
        )
        noun = (
            noun and marks.classes[start - 1] + marks.classes[end : end + 1] != "Na"
        )  # "at eleven, bin the lot"
        if noun and marks.words[start] in marks.lexicon.list("deed_bare"):
            continue
        if kind == "moved" and not _goes_somewhere(marks, start, end, heads[n + 1 :]):
            continue
        if " ".join(marks.words[start:end]) in marks.lexicon.list("deed_beside_gloves"):
            beside = any(
                s == end or (s == end + 1 and marks.classes[end] == "&") for s, _, k in heads if k == "gloved"
            )
            if not beside:
                continue  # "washed up" alone are the dishes
        if kind == "gloved" and set(marks.words[max(0, start - 1) : start]) & marks.lexicon.list("deed_worn"):
            continue  # "answered the phone with gloves on"
        if kind == "refused" and not _sent_back(marks, start, end):
            continue
        if kind == "thrown" and (into := _put_into(marks, start, end, heads[n + 1 :])):
            if marks.find("P", into.start, into.stop) < 0:
                marks.cooked = True
                continue
            kind = "moved"  # "chucked the burgers in the freezer"
        if kind == "thrown" and _into_the_pan(marks, start, end, stop):
            marks.cooked = True
            continue
        if kind == "out" and not _is_out(marks, start, end, heads):
            continue
        if kind in OF_BUCKETS and not _of_a_bucket(marks, found, start, end, bucket=bucket):
            continue
        if found and _same_deed(marks, found[-1], (start, end, kind), stop):
            before = found.pop()
            found.append((before[0], before[1], before[2]) if kind == before[2] else (start, end, kind))
            continue
        found.append((start, end, kind))
    return found


def _of_a_bucket(
    marks: Marks, found: list[tuple[int, int, Kind]], start: int, end: int, *, bucket: bool
) -> bool:
    """True where a bucket is named or spoken of, a number or "one" follows, or one was just dumped.

    What was only "made" may be any food.
    """
    named = marks.find("B", 0, len(marks.words)) >= 0 or marks.find("P", 0, len(marks.words)) >= 0
    verb = set(marks.words[start:end])
    if verb <= marks.lexicon.list("deed_made") and (not (named or bucket) or "F" in marks.classes):
        return False
    dumped = bool(found) and found[-1][2] in ("thrown", "emptied") and start - found[-1][1] <= WORDS_BETWEEN
    one = bool(verb & marks.lexicon.list("deed_new_one"))
    one = one or bool(set(marks.words) & marks.lexicon.list("deed_each"))
    beside = "N" in (marks.classes[end : end + 1], marks.classes[start - 1 : start])
    return dumped or one or beside or named or bucket


def _sent_back(marks: Marks, start: int, end: int) -> bool:
    """True but for "sent the cod to table four" and "goes back in the oven": back, and to nowhere of ours."""
    phrase = marks.words[start:end]
    back = marks.lexicon.list("deed_back")
    at = end - 1 if back & {*phrase} else -1
    if " ".join(phrase) in marks.lexicon.list("deed_sent"):
        at = next((i for i in range(end, min(len(marks.words), end + _SENT)) if marks.words[i] in back), -1)
        if at < 0:
            return False
    lexicon, behind = marks.lexicon, marks.words[at + 1 : at + 4]
    timed = bool(re.match("T|.N", marks.classes[at + 1 :]))  # "back at nine thirty"
    theirs = {*behind} & (lexicon.list("delivery_cars") | lexicon.list("delivery_people"))
    return at < 0 or timed or bool(theirs) or not {*behind[:1]} & lexicon.list("deed_leads_on")


def _put_into(marks: Marks, start: int, end: int, after: list[tuple[int, int, Kind]]) -> range:
    """Return where "dumped the pasta into the colander" tells what it was put in, which is no waste.

    None for "dumped the beans in the morning", nor for "a hair in it".
    """
    lexicon = marks.lexicon
    if not {*marks.words[start:end]} <= lexicon.list("deed_puts"):
        return range(0)
    into_words = lexicon.list("deed_into")
    stop = next((s for s, e, _ in after if not {*marks.words[s:e]} <= into_words), len(marks.words))
    into = next((i for i in range(end, stop) if marks.words[i] in into_words), stop)
    things = _THINGS.fullmatch(marks.classes, end, into)
    if into == stop or things is None or lexicon.list("deed_stays") & {*marks.words[end:into]}:
        return range(0)
    where = range(into + 1, min(into + _NEAR, len(marks.words)))
    said = {*marks.words[where.start : where.stop]}
    other = said & (lexicon.list("deed_waste") | lexicon.list("deed_not_into"))
    told = any(marks.classes[i] not in ".aoTND&VJ" for i in where)
    return where if told and not other else range(0)


def _into_the_pan(marks: Marks, start: int, end: int, stop: int) -> bool:
    """True for "threw the shrimp in the pan" and "tossed it with the sauce": cooked, and not thrown out."""
    if {*marks.words[start:end]} & marks.lexicon.list("deed_for_good"):
        return False
    where = marks.lexicon.list("deed_cooks_in") - {marks.words[i] for i in _of_places(marks)}
    leads = (i for i in range(end, stop) if marks.words[i] in marks.lexicon.list("deed_leads_on"))
    return any(where & {*marks.words[i + 1 : min(i + 4, stop)]} for i in leads)


def _is_out(marks: Marks, start: int, end: int, heads: list[tuple[int, int, Kind]]) -> bool:
    """True where an amount with a unit is told, no other deed and nowhere to go: "gone in the cold room"."""
    if set(marks.words[start - 1 : start]) & marks.lexicon.list("deed_stays"):
        return False  # "it sat out an hour and a half"
    counted = not start and re.match("N[^VPN&]{0,2}F", marks.classes[end:])  # "out, three cut up melons"
    alone = all(kind == "out" for _, _, kind in heads)
    alone = alone and bool(counted or marks.find("UKH", 0, len(marks.words)) >= 0)
    behind = set(marks.words[end : end + 1])
    where = behind & marks.lexicon.list("deed_articles") and not {*marks.classes[end : end + 2]} & {*"NUF"}
    return alone and not (where or behind & marks.lexicon.list("deed_leads_on"))  # "out the oven"


def _goes_somewhere(marks: Marks, start: int, end: int, after: list[tuple[int, int, Kind]]) -> bool:
    """True where a place or shelf follows: right behind a preposition, anywhere before the next deed else."""
    last = marks.words[end - 1]
    if last in marks.lexicon.list("deed_small") and last not in marks.lexicon.list("deed_doers"):
        return _TO.match(marks.classes, end) is not None
    stop = next((s for s, _, kind in after if kind != "moved"), len(marks.words))
    return marks.find("PS", end, stop) >= 0 or "ss" in marks.classes[end:stop]  # "up top", never "put down"


def _same_deed(marks: Marks, before: tuple[int, int, Kind], this: tuple[int, int, Kind], stop: int) -> bool:
    """True for "tossed it in the bin", "put it into the box" and "dumped it, made a new one"."""
    between = marks.classes[before[1] : this[0]]
    if this[2] == "remade" and before[2] in ("thrown", "emptied"):
        return not set(between) - set("aB.&DPpNT")
    put_in = this[2] == "moved" and set(marks.words[this[0] : this[1]]) <= marks.lexicon.list("deed_to")
    if put_in and before[2] == "thrown" and "&" not in between:
        return set(marks.words[slice(*before[:2])]) <= marks.lexicon.list("deed_puts")  # "tossed it into"
    if this[2] != before[2]:
        return False
    if put_in:
        return "&" not in between  # "moved from the freezer into the cold room"
    if this[2] == "moved":
        return "P" not in between and "S" not in between and "&" not in between
    into = marks.words[this[0]] in marks.lexicon.list("deed_into")
    if this[2] == "thrown" and into and "&" not in between and this[1] - this[0] > 1:
        return True  # "chucked a bag of prawns in the bin, three kilos"
    if this[2] == "out" and not set(between) - {"D"}:
        return True  # "out they go"
    behind = marks.find("FNUKH", this[1], stop)
    return behind < 0 and not (this[2] == "thrown" and "&" in between and "F" in between)
