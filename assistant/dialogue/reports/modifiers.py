"""What stands around the core of a report, by one table (``modifiers.toml``)."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal, get_args

from intents.lexicon import Lexicon
from intents.mentions import Understanding
from intents.number_roles import left_out
from intents.patterns import pattern_of

Does = Literal["drop", "ask", "exact", "gauge", "judge", "since", "fresh", "held", "soft", "solid"]
Reaches = Literal["phrase", "clause", "end"]


@dataclass(frozen=True, slots=True)
class Modifier:
    """One row of the table."""

    name: str
    does: Does
    pattern: str = ""
    concept: str = ""
    where: str = ""
    reaches: Reaches = "phrase"
    needs: str = ""
    without: str = ""


@dataclass(frozen=True, slots=True)
class Around:
    """A modifier found in the words from ``start`` to ``end``; ``head`` ends the phrase that opens it."""

    does: Does
    name: str
    start: int
    head: int
    end: int

    @property
    def words(self) -> range:
        """Where its words are."""
        return range(self.start, self.end)


_STATES = ("soft", "solid")
"""What is told of food in a clause of its own; it goes before what opens that clause."""


@cache
def table() -> tuple[Modifier, ...]:
    """Return the rows. Raises ``ValueError`` for one that does what nobody does, or finds no words."""
    text = Path(__file__).with_name("modifiers.toml").read_text(encoding="utf-8")
    rows = []
    for row in tomllib.loads(text)["modifier"]:
        made = Modifier(**{("needs" if key == "with" else key): value for key, value in row.items()})
        if made.does not in get_args(Does) or not (made.pattern or made.concept):
            raise ValueError(f"modifier '{made.name}' does nothing known, or has no words")
        rows.append(made)
    return tuple(rows)


def around(heard: Understanding, lexicon: Lexicon) -> tuple[Around, ...]:
    """Return the modifiers of an utterance, the longest at each place, in the order of their words."""
    found = [each for row in table() for each in _found(row, heard, lexicon)]
    names = {each.name for each in found}
    needs = {row.name: row.needs for row in table() if row.needs}
    found = [each for each in found if needs.get(each.name, each.name) in names]
    found += [Around("drop", o.role, o.start, o.end, o.end) for o in left_out(heard) or ()]
    kept: list[Around] = []
    for each in sorted(found, key=lambda a: (a.does not in _STATES, a.start, -a.end)):
        if not any(set(each.words) & set(other.words) for other in kept):
            kept.append(each)
    return tuple(sorted(kept, key=lambda a: a.start))


def _found(row: Modifier, heard: Understanding, lexicon: Lexicon) -> Iterator[Around]:
    count = len(heard.words)
    for start, head in _phrases(row, heard, lexicon):
        if row.where == "start" and start > lexicon.opening(heard.words) + 1:
            continue
        if row.where == "end" and head != count:
            continue
        if row.reaches == "end" and not start:
            continue  # what reaches on stands behind a report
        if row.where == "after" and not any(m.end == start for m in heard.free_measures):
            continue
        if row.does == "exact" and _tells_where(heard, start, head, lexicon):
            continue
        if row.where == "between" and not _between_numbers(heard, start, head, lexicon):
            continue
        end = count if row.reaches == "end" else head
        if row.reaches == "clause":
            start, end = _clause(heard, start, end, lexicon)
        if row.without and lexicon.list(row.without) & set(heard.words[start:end]):
            continue
        yield Around(row.does, row.name, start, head, end)


def _tells_where(heard: Understanding, start: int, head: int, lexicon: Lexicon) -> bool:
    """True for "one thirty over the flame", behind a number and before a thing that is no limit."""
    behind = [
        w for i, w in enumerate(heard.words) if i >= head and not any(head <= b <= i for b in heard.breaks)
    ]
    leads = lexicon.list("deed_articles") | lexicon.list("prepositions")
    number = any(m.start >= head for m in heard.free_measures) or not any(
        m.end <= start for m in heard.free_measures
    )
    return (
        len(behind) > 1 and behind[0] in leads and not number and not {*behind} & lexicon.list("limit_words")
    )


def _between_numbers(heard: Understanding, start: int, head: int, lexicon: Lexicon) -> bool:
    """True when numbers stand on both sides, or one before and nothing behind."""
    words, measures = heard.words, heard.free_measures
    while head < len(words) and words[head] in lexicon.list("either_number"):
        head += 1
    after = head == len(words) or any(m.start == head for m in measures)
    return after and any(m.end == start for m in measures)


def _clause(heard: Understanding, start: int, end: int, lexicon: Lexicon) -> tuple[int, int]:
    """Return the clause that a word stands in: to the joining words, or the numbers, on both sides."""
    joins = lexicon.list("asides") | lexicon.list("joins")
    numbers = {i for m in heard.free_measures for i in range(m.start, m.end)}
    while start and start - 1 not in numbers:
        start -= 1
        if heard.words[start] in joins:
            return start, _ending(heard, end, joins, numbers)
    return start, _ending(heard, end, joins, numbers)


def _ending(heard: Understanding, end: int, joins: frozenset[str], numbers: set[int]) -> int:
    while end < len(heard.words) and end not in numbers and heard.words[end] not in joins:
        end += 1
    return end


def _phrases(row: Modifier, heard: Understanding, lexicon: Lexicon) -> Iterator[tuple[int, int]]:
    wanted = row.concept.split("|") if row.concept else ()
    yield from ((s.start, s.end) for s in heard.concepts if s.value in wanted)
    yield from pattern_of(row.pattern, lexicon.language).found(heard)
