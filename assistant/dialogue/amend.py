"""Corrections: "scratch that", "make that one fifty", "no, forty-one, it's the reach-in, not the walk-in".

The last number of a breath wins. What was logged first always stays visible: a correction is an entry.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from intents.language import language
from intents.lexicon import Lexicon, Span
from intents.mentions import READ, UNIT_KINDS, Understanding

_MOST_PLACES = 10


@dataclass(frozen=True, slots=True)
class Amendment:
    """What a correction says: a new value, place or food, or nothing (then it takes back).

    ``not_food`` is the food that it was not ("not the gravy, the mash").
    """

    value: Decimal | None = None
    place: str = ""
    unit: str = ""
    food: str = ""
    not_food: str = ""
    changes: bool = False  # "change the reach-in to forty": the place may not have been read at all
    moves: bool = False  # the place is told to be another than was said: "not the rail", "I meant the rail"

    @property
    def takes_back(self) -> bool:
        """True for "scratch that" with nothing in its place."""
        return self.value is None and not self.place and not self.food


def opens_with_name(heard: Understanding) -> bool:
    """True when a place or food comes before any word of correction: a reading of its own."""
    names = [s.start for kind in ("equipment", "food") for s in heard.names.get(kind, ())]
    marks = [s.start for s in heard.concepts if s.value in ("scratch", "make_that")]
    return bool(names) and min(names) < min(marks, default=len(heard.words))


def parse_amendment(heard: Understanding, lexicon: Lexicon) -> Amendment | None:
    """Return the correction that ``heard`` is, or ``None``. Every word has to be explained."""
    words, denying = heard.words, lexicon.list("denying")
    marks = [s for s in heard.concepts if s.value in ("scratch", "make_that")]
    waits = " ".join(words[:2]) in lexicon.list("correction_phrases")
    names = bool(words and words[0] in lexicon.list("naming") and not heard.free_measures)
    opened = waits or names or bool(words and words[0] in lexicon.list("correction_openers"))
    places = heard.names.get("equipment", ())
    to = lexicon.list("up_to") & {words[m.start - 1] for m in heard.free_measures}
    changes = bool(words and words[0] in lexicon.list("changing") and len(places) == 1 and to)
    opened = opened or changes
    if not words or not (marks or opened or words[0] in denying):
        return None
    covered = {i for s in (*marks, *places) for i in range(s.start, s.end)} | ({0, 1} if waits else set())
    first = int(only_opens(heard, lexicon))
    meant, denied = _meant(places, words, denying, first)
    covered |= {0} if names else set()
    right, wrong = _foods_meant(heard, lexicon, marks, covered)
    stands = any(words[s.end] in lexicon.list("state_of_place") for s in meant if s.end < len(words))
    if (names and not meant and not marks) or stands:
        return None
    if any(m.kind not in READ for m in heard.measures):
        return None  # "no, forty minutes"
    if place_number(heard, lexicon) is not None:
        return None  # "no, one's thirty six" is of the first low-boy
    values = _values(heard, lexicon, covered)
    if values and len({s.value for s in meant}) > 1:
        return None  # "that's the reach-in, walk-in's thirty six": two things are told
    if values is None or not _all_known(words, covered, lexicon):
        return None
    if not (any(s.value == "scratch" for s in marks) or values or meant or right):
        return None  # "sorry" alone was said to somebody
    return Amendment(
        values[-1] if values else None,
        meant[-1].value if meant else "",
        _unit(heard),
        right[0].value if right else "",
        wrong[0].value if wrong else "",
        changes and bool(values),
        bool(denied) or _renamed(words, marks, meant, lexicon),
    )


def place_number(heard: Understanding, lexicon: Lexicon) -> Decimal | None:
    """Return the number of a place said alone before its reading ("one's thirty six"), or ``None``."""
    numbers, words = language(lexicon.language).numbers, heard.words
    inside = {i for s in heard.names.get("equipment", ()) for i in range(s.start, s.end)}
    for at in (at for at in range(len(words) - 2) if at not in inside):
        found = numbers.values(words[at : at + 1])
        alone = len(found) == 1 and 0 < min(found) < _MOST_PLACES
        if alone and words[at + 1] in lexicon.list("read_at") and numbers.numbers_from(words, at + 2):
            return min(found)
    return None


def _foods_meant(
    heard: Understanding, lexicon: Lexicon, marks: list[Span], covered: set[int]
) -> tuple[list[Span], list[Span]]:
    """Return the food meant and the one denied, marked as ``covered``; none unless plainly a correction."""
    words = heard.words
    foods = [s for s in heard.names.get("food", ()) if not covered & set(range(s.start, s.end))]
    right, wrong = _meant(foods, words, lexicon.list("denying"), int(only_opens(heard, lexicon)))
    if len(right) != 1 or not (wrong or _renamed(words, marks, right, lexicon)):
        return [], wrong
    covered |= {i for s in foods for i in range(s.start, s.end)}
    return right, wrong


def _renamed(words: tuple[str, ...], marks: list[Span], names: list[Span], lexicon: Lexicon) -> bool:
    """True for "era el refri", another name; "el refri era treinta y nueve" tells its number."""
    said = [s for s in marks if " ".join(words[s.start : s.end]) in lexicon.list("renaming")]
    return any(s.start < name.start for s in said for name in names)


def only_opens(heard: Understanding, lexicon: Lexicon) -> bool:
    """True where the first word opens a correction and denies no name ("no, el refri era treinta y nueve").

    In Spanish it is the word that denies one, too ("no el refri, el cuarto frío").
    """
    names = [s for kind in ("equipment", "food") for s in heard.names.get(kind, ())]
    opens = bool({*heard.words[:1]} & lexicon.list("correction_openers"))
    return opens and (1 in heard.breaks or (bool(heard.free_measures) and len(names) == 1))


def _meant(
    names: Iterable[Span], words: tuple[str, ...], denying: frozenset[str], first: int
) -> tuple[list[Span], list[Span]]:
    """Return the names meant and those denied ("not the gravy, the mash")."""
    found: tuple[list[Span], list[Span]] = ([], [])
    before = first  # "not chili, gravy" denies the chili only
    for name in names:
        found[bool(denying & set(words[max(before, name.start - 2) : name.start]))].append(name)
        before = name.end
    return found


def _values(heard: Understanding, lexicon: Lexicon, covered: set[int]) -> list[Decimal] | None:
    """Return the numbers outside the names, marked as ``covered``; ``None`` where one is not clear."""
    found, at = list[Decimal](), 0
    while at < len(heard.words):
        here = heard.numbers_from(at) if at not in covered else ()
        if not here:
            at += 1
            continue
        end, options = here[0]
        if len(options) > 1:
            return None
        # Not the "one" of "not that one", nor the number that it was not.
        denied = at > 1 and heard.words[at - 1] in lexicon.list("denying")
        if not denied and any(m.start <= at < m.end for m in heard.measures):
            found += options
        covered |= set(range(at, end))
        at = end
    covered |= {i for s in heard.concepts if s.value in UNIT_KINDS for i in range(s.start, s.end)}
    return found


def _unit(heard: Understanding) -> str:
    units = [UNIT_KINDS[s.value][1] for s in heard.concepts if s.value in UNIT_KINDS]
    return next((unit for unit in reversed(units) if unit), "")


def _all_known(words: tuple[str, ...], covered: set[int], lexicon: Lexicon) -> bool:
    known = lexicon.small("correction_openers", "correction_small", "denying")
    return all(i in covered or word in known for i, word in enumerate(words))
