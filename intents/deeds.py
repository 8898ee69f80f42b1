"""Deeds told in one breath: what was thrown out, moved, washed, changed or refused, and what it was done to.

A grammar over marked words (``deed_marks``): amounts are runs of classes (``deed_amounts``); foods, places
and numbers belong to the deed on their side of a joint. Nothing is decided here.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from intents.deed_amounts import Item, items_of, some_stay
from intents.deed_clauses import but_behind_into, its_own, till_others
from intents.deed_marks import OF_BUCKETS, OF_FOOD, WORDS_BETWEEN, Kind, Marks, Spans, marked, verbs_in
from intents.lexicon import Lexicon, Span
from intents.mentions import Understanding

_SMALL = frozenset(".TaoEA&DJvVLs")
"""Classes of words that say nothing of their own."""
_TAKES: dict[Kind, str] = {
    "moved": "PpSsN", "remade": "PpBbN", "emptied": "PpBbN", "refused": "Pp",
    "thrown": "Pp", "out": "", "washed": "", "gloved": "",
}  # fmt: skip
"""Classes of words that a deed takes besides foods and amounts."""
_BARE = re.compile(r"(?:Ff*[.aoE]*)?(?<!N)N+(?![NUKHLFo])")
_ITS_NUMBER, _ITS_STRENGTH = r"[.]{0,2}N+(?![NHLUK])", r"[.?K]{0,2}N+(?![NHLUK])"
_UNKNOWN = re.compile(r"[oaALNUKHE]*[oa](?P<name>[?]{1,2})(?=$|[^?Ffv])")


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
    some_stays: bool = False  # an amount or food behind it did not go out


@dataclass(frozen=True, slots=True)
class Breath:
    """The deeds of an utterance; ``left`` are words of no deed that say something else."""

    deeds: tuple[Deed, ...] = ()
    left: tuple[int, ...] = ()
    used: frozenset[int] = frozenset()  # words of amounts, foods and places that a deed has


def breath(
    read: Understanding,
    lexicon: Lexicon,
    foods: Sequence[Span] = (),
    places: Iterable[Span] = (),
    *,
    bucket: bool = False,
    timed: Collection[int] = (),
) -> Breath:
    """Return the deeds that ``read`` tells.

    ``foods`` are words that name a food which no table has, ``places`` those that name a place in short;
    ``bucket``: one was spoken of just before, so that "changed it" is done to that. ``timed`` are the words
    of a time, which count nothing.
    """
    if not verbs_in(read.words, lexicon):
        return Breath()
    marks = marked(read, lexicon, foods, places, bucket=bucket, timed=timed)
    if not marks.heads:
        return Breath()
    used: set[int] = set()
    deeds = tuple(_deed(marks, head, spans, used) for head, spans in _shares(marks))
    left = (i for i, c in enumerate(marks.classes) if c not in _SMALL and i not in used)
    spoken_of = (i for i in left if marks.classes[i - 1 : i + 1] != "aK")  # "those trays are in the bin"
    return Breath(deeds, tuple(spoken_of), frozenset(used | {*timed}))


def amounts(read: Understanding, lexicon: Lexicon) -> tuple[Item, ...]:
    """Return the foods with their amounts of what was thrown out, or of words that are only an amount."""
    thrown = [deed for deed in breath(read, lexicon).deeds if deed.kind in ("thrown", "out")]
    if thrown:
        return tuple(item for deed in thrown for item in deed.items)
    marks = marked(read, lexicon)
    return items_of(marks, [(0, len(marks.words))], set())


def only_amounts(read: Understanding, lexicon: Lexicon, *, counted: bool = False) -> tuple[Item, ...]:
    """Return the foods with their amounts where nothing else is said: "and a pound and a half of slaw".

    A bare count is an amount only where ``counted`` ("forty of them").
    """
    items = tuple(item for item in _nothing_but(read, lexicon) if item.food)
    whole = bool(items) and all(item.measured or (counted and item.counted) for item in items)
    return items if whole else ()


def amount_alone(read: Understanding, lexicon: Lexicon) -> Item | None:
    """Return an amount that is all that is said, of no food: "four cases"."""
    items = _nothing_but(read, lexicon)
    return items[0] if len(items) == 1 and items[0].measured and not items[0].food else None


def _nothing_but(read: Understanding, lexicon: Lexicon) -> tuple[Item, ...]:
    """Return foods and amounts; none where a deed or anything else is told."""
    marks, used = marked(read, lexicon), set[int]()
    items = items_of(marks, [(0, len(marks.words))], used)
    other = any(c not in _SMALL and i not in used for i, c in enumerate(marks.classes))
    return () if marks.heads or other else items


def cooks(read: Understanding, lexicon: Lexicon) -> bool:
    """True for "threw two pounds of shrimp in the pan", which is no discard."""
    return marked(read, lexicon).cooked


def _shares(marks: Marks) -> Iterator[tuple[tuple[int, int, Kind], Spans]]:
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


def _cut(marks: Marks, start: int, end: int, left: Kind, right: Kind) -> int:
    """Return where the words between two verbs pass from the left deed to the right one."""
    if left == right == "moved" and marks.classes[end] != "V":
        return end  # "the cheese to the walk-in and | the cream to the drawer"
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


def _deed(marks: Marks, head: tuple[int, int, Kind], spans: Spans, used: set[int]) -> Deed:
    start, end, kind = head
    spans = _sent(marks, spans, range(start, end)) if kind == "refused" else spans
    spans = till_others(marks, spans, end) if kind in ("thrown", "refused") else spans
    spans = but_behind_into(marks, spans, end) if kind == "thrown" else spans
    own = its_own(marks, spans, range(start, end)) if kind == "thrown" else spans
    items = items_of(marks, own, used, end) if kind in OF_FOOD else ()
    told = any(item.amount for item in items) or kind == "moved"
    if (
        kind in OF_FOOD
        and told
        and not any(item.food for item in items)
        and (named := _named_so(marks, start, end, spans))
    ):
        used.update(named)
        food = " ".join(marks.words[i] for i in named)
        items = tuple(replace(item, food=food) for item in items[:1] or (Item(),))
    inside = [i for a, b in spans for i in range(a, b)]
    chemicals = marks.lexicon.list("deed_new_one")  # "dumped bleach in the quat" empties nothing
    if (
        kind == "thrown"
        and not any(item.food for item in items)
        and any(marks.classes[i] == "B" and marks.words[i] not in chemicals for i in inside)
    ):
        kind, items = "emptied", ()  # "dumped the old bucket"
    takes = _TAKES[kind]
    read = _read_there(marks, inside, kind, end)
    inside = [i for i in inside if i not in read]
    if kind == "thrown":  # "and washed out the soup well" tells of another deed
        other = re.compile("&(?![aoEKLHAN]*[FPBU])")
        inside = [i for i in inside if i < end or not other.search(marks.classes[end : i + 1])]
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
    planned = _before(marks, start, marks.lexicon.list("deed_planned")) or _on_condition(marks, end)
    will = _before(marks, start, marks.lexicon.list("deed_will")) if bare else range(0)
    if not planned and not marks.breaks & {*will[1:], start}:
        planned = will  # "we'll bin it", but no "well, bin it"
    used.update(planned)
    return Deed(
        kind, start, end, items,
        places=tuple(marks.names[i] for i in places if i not in origin),
        origin=next((marks.names[i] for i in origin), ""),
        spans=tuple(_stretches(marks, inside)),
        it=any(marks.words[i] in of_it for i in (*inside, *range(start, end))),
        everything=any(marks.words[i] in stuff | every for i in (*inside, *range(start, end))),
        planned=bool(planned),
        denied=bool(_before(marks, start, marks.lexicon.list("deed_denied"))),
        bare=bare and not _done_by(marks, start),
        some_stays=any(some_stay(marks, max(a, end), b, end) for a, b in spans),
    )  # fmt: skip


def _sent(marks: Marks, spans: Spans, verb: range) -> Spans:
    """Return where the foods of a refusal stand: behind its verb up to "back", else right before it.

    No food with a number of its own ("brie forty, ham forty seven, the ham's refused").
    """
    lexicon, words = marks.lexicon, marks.words
    behind = [span for span in spans if span[0] >= verb.stop]
    said, along = {*words[verb.start : verb.stop]}, lexicon.list("deed_along")
    if said & (lexicon.list("deed_it") | lexicon.list("deed_goes")) and not said & along:
        foods = ((marks.find("F", *span), span) for span in behind)  # "the ham goes back, four kilos"
        behind = [(start, at if at >= 0 else end) for at, (start, end) in foods]
    if " ".join(words[verb.start : verb.stop]) in lexicon.list("deed_sent"):
        back = next((i for i in range(verb.stop, len(words)) if words[i] in lexicon.list("deed_back")), 0)
        amount = marks.find("F", back + 1, len(words)) < 0  # "sent the eggs back, fifteen dozen"
        rest = [(back + 1, behind[-1][1])] if back and behind and amount else []
        behind = [(start, min(end, back or end)) for start, end in behind] + rest
    behind = [(start, _its_end(marks, verb, start, end)) for start, end in behind]
    if marks.find("F", *behind[0]) >= 0 if behind else False:
        return behind
    before = [(start, end) for start, end in spans if end <= verb.start]
    until = behind[0][1] if behind and behind[0][0] == verb.stop else verb.stop
    counts = re.fullmatch("E*(N+|a)", marks.classes[verb.stop : until])
    if counts and {*words[until : until + 1]} & lexicon.list("deed_back"):  # one of the five: "sent one back"
        last = next((i for i in range(verb.start - 1, -1, -1) if marks.classes[i] == "F"), -1)
        return [*([(last, marks.ends[last])] if last >= 0 else []), *behind]
    starts = [max((run.stop for run in _read_in(marks, *span)), default=span[0]) for span in before]
    return [(start, end) for start, (_, end) in zip(starts, before, strict=True)] + behind


def _its_end(marks: Marks, verb: range, start: int, end: int) -> int:
    """Return where what was refused ends: before a number that was read, and before a food that it is of.

    The first food right behind "sent back" is what went, whatever it read; the two of "sent two back" count.
    """
    lexicon, run = marks.lexicon, next(_read_in(marks, start, end), None)
    counts = start == verb.stop and {*marks.words[end : end + 1]} & lexicon.list("deed_back")
    if run is None or (counts and run.start == start):
        return end
    its, said = lexicon.list("deed_it"), {*marks.words[verb.start : verb.stop]}
    states = lexicon.list("present_is") | lexicon.list("past_only")
    clause = max((at for at in marks.breaks if start < at <= run.start), default=start)
    apart = marks.find("F", start, clause) >= 0 and marks.find("F", clause, run.start) >= 0
    if apart and states & {*marks.words[clause : run.start]}:
        return clause  # "sent back the salmon, milk was thirty nine"
    passive = its | states
    done_to = bool({*marks.words[max(0, verb.start - 1) : verb.start]} & passive)
    done_to = done_to or bool(said & (its | lexicon.list("deed_goes")))
    done_to = done_to or marks.classes[max(0, verb.start - 1)] in "Ff"  # "the ham's refused"
    first = start == verb.stop and marks.find("F", start, run.start) < 0
    if done_to or not first or marks.breaks & {*range(start, run.start + 1)}:
        return run.start
    return next(i for i in run if marks.classes[i] == "N")


def _stretches(marks: Marks, inside: Iterable[int]) -> Iterator[tuple[int, int]]:
    """Give the stretches of words without those of a time: a number is a time or a reading, never both."""
    words = [i for i in inside if marks.classes[i] != "T"]
    starts, ends = [i for i in words if i - 1 not in words], [i + 1 for i in words if i + 1 not in words]
    yield from zip(starts, ends, strict=True)


def _read_in(marks: Marks, start: int, end: int) -> Iterator[range]:
    yield from (range(*match.span()) for match in _BARE.finditer(marks.classes, start, end))


def _read_there(marks: Marks, inside: list[int], kind: Kind, start: int) -> set[int]:
    """Return the words of a place with a number of its own: "moved to the drawer, drawer's forty".

    None of the first place that something went to, nor of a bucket that was changed or emptied; of a bucket's
    words the number, too.
    """
    places, buckets = [i for i in inside if marks.classes[i] == "P"], marks.lexicon.list("deed_buckets")
    its = {at for at in places if buckets & {*marks.words[at : marks.ends[at]]}}
    first = kind == "moved" or (kind in ("emptied", "thrown") and bool(its & {*places[:1]}))
    found = set[int]()
    for at in places[first:]:
        end = marks.ends[at]
        match = re.match(_ITS_STRENGTH if at in its else _ITS_NUMBER, marks.classes[end:])
        anew = "?" in marks.classes[start:at] and marks.breaks & {
            *range(start, at + 1)
        }  # "the mop water, ..."
        if match is not None and (anew or not (kind == "remade" and at in its)):  # no "walk-in, two trays"
            found |= set(range(at, end + (match.end() if kind in OF_BUCKETS else 0)))
    return found


def _of_it(marks: Marks, kind: Kind, at: int) -> bool:
    """True but for a number in words of a move that is no shelf's: "six point five, so we moved the lot"."""
    if kind != "moved" or marks.classes[at] != "N":
        return True
    around = marks.classes[max(0, at - 1) : at + 2]
    return "S" in around or (at > 0 and marks.words[at - 1] in marks.lexicon.list("deed_to"))


def _named_so(marks: Marks, start: int, end: int, spans: Spans) -> range:
    """Return the unknown words right beside a verb, which name a food: "dumped the dip"."""
    before = marks.classes[start - 2 : start] if start > 1 else f"&{marks.classes[:start]}"
    if re.fullmatch("[&a][?]", before) and marks.classes[end : end + 1] in "EaN":
        return range(start - 1, start)  # "shallots gone about a pint"
    match = _UNKNOWN.match(marks.classes, end)
    if match is None or not any(start == end for start, _ in spans):
        return range(0)
    behind = marks.words[match.end("name") : match.end("name") + 1]
    of_it = set(behind) & marks.lexicon.list("deed_it")  # "a pound of dead ones"
    return range(0) if of_it else range(match.start("name"), match.end("name"))


def _on_condition(marks: Marks, end: int) -> range:
    """Return the word of "it goes in the bin if it doesn't come up", no "see if we have more"."""
    lexicon, stop = (
        marks.lexicon,
        next((start for start, _, _ in marks.heads if start >= end), len(marks.words)),
    )
    ifs = (i for i in range(end, stop - 1) if marks.words[i] in lexicon.list("deed_if"))
    at = next(ifs, 0)
    asked = not at or marks.words[at - 1] in lexicon.list("deed_whether")
    return range(0) if asked else range(at, at + 1)


def _done_by(marks: Marks, start: int) -> bool:
    had_to = " ".join(marks.words[max(0, start - 2) : start]) in marks.lexicon.list("deed_had_to")
    return had_to or any(marks.classes[i] in "DJ" for i in range(max(0, start - 2), start))


def _before(marks: Marks, start: int, phrases: Iterable[str]) -> range:
    """Return the words of one of ``phrases`` before a verb and what is between; none where none is there."""
    said = [tuple(phrase.split()) for phrase in phrases]
    for at in range(max(0, start - WORDS_BETWEEN - 3), start):
        for phrase in said:
            end = at + len(phrase)
            if end <= start and marks.words[at:end] == phrase and start - end <= WORDS_BETWEEN:
                held = marks.words[at] in marks.lexicon.list("deed_containers")
                counted = held and marks.classes[at - 1 : at] == "N"  # "one can of peaches"
                if not counted and not set(marks.classes[end:start]) & set("FNUKPV&HD"):
                    return range(at, start)
    return range(0)
