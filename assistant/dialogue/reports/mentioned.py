"""What the words of a report name: places in full, in short or by a number alone, and foods."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING

from assistant.dialogue import batches, implied
from assistant.dialogue.hearing import Heard
from assistant.dialogue.reports.place_marks import families, marks, opens
from assistant.dialogue.reports.times import Way
from assistant.dialogue.topic import Topic
from intents.dishes import may_be_dish
from intents.language import language
from intents.lexicon import Span
from intents.mentions import READ, Understanding
from intents.number_roles import words_of_others
from intents.tools import tools

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation


DISH_MACHINES = ("dish_machine_hot", "dish_machine_chemical")
_OF_MACHINES = ("measured_final rinse", "measured_rinse", "measured_surface", "wash_tank_only")
"""Concepts of what is measured at a dish machine alone."""
_MOST_WORDS = 3
"""No name that nobody knows is longer (judgement)."""


@dataclass(frozen=True, slots=True)
class Mention:
    """Words from ``start`` to ``end`` that name one of ``can_be``."""

    can_be: tuple[Topic, ...]
    start: int
    end: int
    food: bool = False
    implied: bool = False  # what was measured ("final rinse"), and so where
    sure: bool = True  # no "two is", which may be something else than a place


def mentioned(talk: Conversation, heard: Heard, way: Way) -> list[Mention]:
    """Return what is named, in full, in short, by a number alone, or by a food; longest names only."""
    said, now = heard.interpretation.heard, talk.clock.now()
    spans: dict[tuple[int, int], list[str]] = {}
    for span in (*said.names.get("equipment", ()), *talk.interpreter.in_short(said.words)):
        spans.setdefault((span.start, span.end), []).extend(_numbered(talk, span.value))
    unsure = set[int]()
    here = [talk.site.equipment_by_id(place) for named in spans.values() for place in named]
    for mark in marks(talk, said):
        having = [item for item in families(talk) if mark.number in item.numbers]
        having = [item for item in having if item in here] or having
        places = [f"{item.id} {mark.number}" for item in having]
        behind = {place for (_, end), named in spans.items() if end == mark.start for place in named}
        if places and (mark.plain or behind & {*places} or opens(talk, said, mark.start)):
            spans.setdefault((mark.start, mark.end), []).extend(places)
            unsure |= set() if mark.plain or behind & {*places} else {mark.start}
    spans |= _washes(talk, said, spans)
    foods = {(s.start, s.end): s.value for s in said.names.get("food", ())}
    found = [
        Mention(_places(places, now, foods.get((start, end), "")), start, end, sure=start not in unsure)
        for (start, end), places in spans.items()
    ]
    for span in _foods(talk, heard):
        cooling = batches.cooling(talk, now, span.value)
        can = tuple(Topic("food", c.food, now, True, c.entry_id) for c in cooling)
        can = can or (Topic("food", span.value, now),)
        found.append(Mention(can, span.start, span.end, food=True))
    ones = {m.start for m in found if not m.food and with_one(talk, said.words, m)}
    found = [m for m in found if (not m.food if m.start in ones else not _of_what_is_in_it(m, found))]
    timed = {i for told in way for i in told.words} | tool_words(talk, said) | words_of_others(said)
    inside = [
        m
        for m in found
        if {*range(m.start, m.end)} & timed
        or any(o is not m and o.start <= m.start and m.end <= o.end and not o.food for o in found)
        or any(o.food and {*range(m.start, m.end)} < {*range(o.start, o.end)} for o in found)  # "ham salad"
    ]
    return _told_again(talk, said.words, sorted((m for m in found if m not in inside), key=lambda m: m.start))


def with_one(talk: Conversation, words: tuple[str, ...], name: Mention) -> bool:
    """True for "the larder one is", which is no larder 1."""
    lexicon = talk.interpreter.lexicon
    the = {*words[max(0, name.start - 1) : name.start]} & lexicon.list("deed_articles")
    one = {*words[name.end : name.end + 1]} & lexicon.list("batch_one")
    return bool(the and one and {*words[name.end + 1 :][:1]} & lexicon.list("read_at"))


def tool_words(talk: Conversation, said: Understanding) -> set[int]:
    """Return the words of the thermometer that something was read with."""
    found = tools(said, talk.site.kind_of, talk.interpreter.lexicon)
    return {i for start, end in found.items() for i in range(start, end)}


def _washes(
    talk: Conversation, said: Understanding, named: dict[tuple[int, int], list[str]]
) -> dict[tuple[int, int], list[str]]:
    """Return where "wash" alone names the wash sink, or a machine's tank: no machine is named with it.

    Beside a sanitizing sink it is the sink.
    """
    kinds = {talk.site.kind_of(place) for places in named.values() for place in places}
    if kinds & {*DISH_MACHINES} or said.has(*_OF_MACHINES):
        return {}
    may_be = ("wash_sink",) if "sanitizer_sink" in kinds else ("wash_sink", *DISH_MACHINES)
    places = [item.id for item in talk.site.places if item.kind in may_be]
    sinks = any(talk.site.kind_of(place) == "wash_sink" for place in places)
    spans = [(s.start, s.end) for s in said.spans("measured_wash")] if sinks else []
    return dict.fromkeys(spans, places)


def joined(talk: Conversation, words: tuple[str, ...], end: int, name: Mention) -> bool:
    """True for the drawers of "walk-in's thirty five and the drawers", whose own number is yet to come."""
    lexicon, between = talk.interpreter.lexicon, {*words[end : name.start]}
    small = lexicon.list("list_joins") | lexicon.list("deed_articles") | lexicon.filler
    last = {*words[name.end :]} <= lexicon.filler
    return not name.food and last and bool(between & lexicon.list("list_joins")) and between <= small


def _of_what_is_in_it(name: Mention, found: list[Mention]) -> bool:
    """True for the fish of "the drawer's thirty eight, checked the fish itself": its drawer was named."""
    others = {topic.name for m in found if m.end <= name.start and not m.food for topic in m.can_be}
    food = any(o.food and o.start <= name.start and name.end <= o.end for o in found)
    return food and not name.food and {topic.name for topic in name.can_be} <= others


def _told_again(talk: Conversation, words: tuple[str, ...], names: list[Mention]) -> list[Mention]:
    """Join a place with what says more of it: "the bucket i used, the raw bar", "the machine at the bar"."""
    lexicon, grammar = talk.interpreter.lexicon, language(talk.language).numbers
    found: list[Mention] = []
    for name in names:
        before = found[-1] if found and not (found[-1].food or name.food) else None
        between = words[before.end : name.start] if before is not None else ()
        apart = {*between} & lexicon.list("list_joins") or any(map(grammar.is_number_word, between))
        can = {topic.name for topic in name.can_be}
        common = tuple(t for t in before.can_be if t.name in can) if before is not None else ()
        each = lexicon.says(words, "plural_each")
        if before is None or not common or apart or each or {len(before.can_be), len(can)} == {len(common)}:
            found.append(name)
        else:
            found[-1] = replace(before, can_be=common)
    return found


def implied_by(talk: Conversation, said: Understanding) -> list[Mention]:
    """Return what was measured, each with the places where it can be: "final rinse", "the strip"."""
    now = talk.clock.now()
    spans = [s for s in said.concepts if s.value in implied.TELLING]
    whole = [s for s in spans if not any(o is not s and o.start <= s.start and s.end <= o.end for o in spans)]
    found = []
    for span in whole:
        items = implied.kinds_of(talk, said, span.value)
        places = [p for item in items for p in (_numbered(talk, item.id) or [item.id])]
        found.append(Mention(_places(places, now), span.start, span.end, implied=True))
    return [m for m in found if m.can_be]


def _foods(talk: Conversation, heard: Heard) -> list[Span]:
    """Return the foods named, each with the words that name it together: "cottage pie" is no pie."""
    said, roles = heard.interpretation.heard, heard.interpretation.meaning.roles
    known, small = said.names.get("food", ()), talk.interpreter.lexicon.small()
    taken = {
        i for kind in ("equipment", "person") for s in said.names.get(kind, ()) for i in range(s.start, s.end)
    }
    taken |= {i for m in said.measures for i in range(m.start, m.end)}
    taken |= {i for s in said.spans("measured_food", "not_food") for i in range(s.start, s.end)}
    named = {i for s in known for i in range(s.start, s.end)}
    of_food = named | {
        i for i, role in enumerate(roles) if role == "food" and i not in taken and said.words[i] not in small
    }
    runs: list[list[int]] = []
    for i in sorted(of_food):
        if runs and runs[-1][-1] == i - 1 and i not in said.breaks:
            runs[-1].append(i)
        else:
            runs.append([i])
    whole = {(s.start, s.end): s for s in known}
    return [
        whole.get(
            (run[0], run[-1] + 1), Span("food", " ".join(said.words[i] for i in run), run[0], run[-1] + 1)
        )
        for run in runs
        if {*run} & named or _dish(talk, tuple(said.words[i] for i in run))
    ]


def own_words(talk: Conversation, said: Understanding, taken: set[int]) -> Iterator[Mention]:
    """Give what stands where a name stands before a number, and nobody knows: "the quark's forty".

    It is the cook's own name for something, which only what is read back may be called.
    """
    lexicon, words, now = talk.interpreter.lexicon, said.words, talk.clock.now()
    reads = lexicon.small("read_at", "hesitating", "told_now", "deed_already") - lexicon.list("still_it")
    numbers = {i for m in said.measures for i in range(m.start, m.end)}
    opens = lexicon.list("deed_articles") | lexicon.list("list_joins")
    for m in (m for m in said.measures if m.kind in READ):
        end = m.start
        while end and words[end - 1] in reads:
            end -= 1
        start = end
        while start and start - 1 not in taken | numbers and _dish(talk, words[start - 1 : start]):
            start -= 1
            if start in said.breaks:
                break
        begins = not start or start in said.breaks or start - 1 in numbers or words[start - 1] in opens
        if start < end <= start + _MOST_WORDS and begins:
            topic = Topic("food", " ".join(words[start:end]), now)
            yield Mention((topic,), start, end, food=True, sure=False)


def _dish(talk: Conversation, words: tuple[str, ...]) -> bool:
    """True for words that may be a dish which no table knows, and are no part of a place's name here."""
    return not {*words} <= talk.interpreter.place_words and may_be_dish(words, talk.language)


def _places(names: list[str], now: datetime, food: str = "") -> tuple[Topic, ...]:
    return tuple(Topic("equipment", place, now, food=food) for place in dict.fromkeys(names))


def _numbered(talk: Conversation, place: str) -> list[str]:
    """Return a place, or each of its numbers where it has several and none was said."""
    item = talk.site.equipment_by_id(place)
    if item is None or item.id != place or item.unnumbered or not item.numbers:
        return [place]
    return [f"{place} {number}" for number in item.numbers]
