"""What the words of a report name: places in full, in short or by a number alone, and foods."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from assistant.dialogue import batches
from assistant.dialogue.hearing import Heard
from assistant.dialogue.reports.place_marks import families, marks
from assistant.dialogue.reports.times import Way
from assistant.dialogue.topic import Topic
from intents.language import language
from intents.lexicon import Span

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation


@dataclass(frozen=True, slots=True)
class Mention:
    """Words from ``start`` to ``end`` that name one of ``can_be``."""

    can_be: tuple[Topic, ...]
    start: int
    end: int
    food: bool = False
    sure: bool = True  # no "two is", which may be something else than a place


def mentioned(talk: Conversation, heard: Heard, way: Way) -> list[Mention]:
    """Return what is named, in full, in short, by a number alone, or by a food; longest names only."""
    said, now = heard.interpretation.heard, talk.clock.now()
    spans: dict[tuple[int, int], list[str]] = {}
    for span in (*said.names.get("equipment", ()), *talk.interpreter.in_short(said.words)):
        spans.setdefault((span.start, span.end), []).extend(_numbered(talk, span.value))
    unsure = set()
    for mark in marks(talk, said.words):
        places = [f"{item.id} {mark.number}" for item in families(talk) if mark.number in item.numbers]
        if places and (mark.plain or _opens(talk, said.words, mark.start)):
            spans.setdefault((mark.start, mark.end), []).extend(places)
            unsure |= set() if mark.plain else {mark.start}
    found = [
        Mention(_places(places, now), start, end, sure=start not in unsure)
        for (start, end), places in spans.items()
    ]
    for span in _foods(talk, heard):
        cooling = batches.cooling(talk, now, span.value)
        can = tuple(Topic("food", c.food, now, True, c.entry_id) for c in cooling)
        can = can or (Topic("food", span.value, now),)
        found.append(Mention(can, span.start, span.end, food=True))
    timed = {i for told in way for i in told.words}
    inside = [
        m
        for m in found
        if {*range(m.start, m.end)} & timed
        or any(o is not m and o.start <= m.start and m.end <= o.end and not o.food for o in found)
    ]
    return sorted((m for m in found if m not in inside), key=lambda m: m.start)


def _foods(talk: Conversation, heard: Heard) -> list[Span]:
    """Return the foods named, each with the words that name it together: "cottage pie" is no pie."""
    said, roles = heard.interpretation.heard, heard.interpretation.meaning.roles
    known, small = said.names.get("food", ()), talk.interpreter.lexicon.small()
    taken = {
        i for kind in ("equipment", "person") for s in said.names.get(kind, ()) for i in range(s.start, s.end)
    }
    taken |= {i for m in said.measures for i in range(m.start, m.end)}
    of_food = {i for s in known for i in range(s.start, s.end)}
    of_food |= {
        i for i, role in enumerate(roles) if role == "food" and i not in taken and said.words[i] not in small
    }
    runs: list[list[int]] = []
    for i in sorted(of_food):
        if runs and runs[-1][-1] == i - 1:
            runs[-1].append(i)
        else:
            runs.append([i])
    whole = {(s.start, s.end): s for s in known}
    return [
        whole.get(
            (run[0], run[-1] + 1), Span("food", " ".join(said.words[i] for i in run), run[0], run[-1] + 1)
        )
        for run in runs
    ]


def _places(names: list[str], now: datetime) -> tuple[Topic, ...]:
    return tuple(Topic("equipment", place, now) for place in dict.fromkeys(names))


def _opens(talk: Conversation, words: tuple[str, ...], at: int) -> bool:
    """True for the two of "one is forty, two is fifty", not the one of "this one is"."""
    joins, grammar = talk.interpreter.lexicon.list("list_joins"), language(talk.language).numbers
    first = all(word in talk.interpreter.lexicon.list("hesitating") for word in words[:at])
    return first or words[at - 1] in joins or grammar.is_number_word(words[at - 1])


def _numbered(talk: Conversation, place: str) -> list[str]:
    """Return a place, or each of its numbers where it has several and none was said."""
    item = talk.site.equipment_by_id(place)
    if item is None or item.id != place or item.unnumbered or not item.numbers:
        return [place]
    return [f"{place} {number}" for number in item.numbers]
