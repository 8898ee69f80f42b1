"""A breath matched as a whole: what the cheapest way to share its numbers leaves, and its rivals."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from assistant.dialogue.hearing import Heard
from assistant.dialogue.reports.matched import Matched, matched
from assistant.dialogue.reports.mentioned import Mention
from assistant.dialogue.reports.read_off import Breath, Number, Pair
from assistant.dialogue.reports.shared_out import Match, Name, Solution, Span, family
from assistant.dialogue.reports.times import Way
from assistant.dialogue.topic import Topic
from intents.language import language

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_TWO, _TEN = 2, 10
MARGIN = 0.75
"""Ways that cost so little more than the cheapest are as good (judgement)."""


def matched_whole(talk: Conversation, heard: Heard, way: Way) -> Breath | None:
    """Return the cheapest way to match a breath; where others are as good, what they have in common."""
    found = matched(talk, heard, way)
    if not found.ways:
        return None
    best = found.ways[0]
    good = [each for each in found.ways if each.cost <= best.cost + MARGIN]
    common = tuple(m for m in best.pairs if all(_has(each, m) for each in good))
    open_ = tuple(m.number for m in best.pairs if m not in common)
    if best.lost or open_:  # what is told of several is of none where another number is lost
        starts = [m.number for m in common]
        open_ += tuple(dict.fromkeys(n for n in starts if starts.count(n) > 1))
        common = tuple(m for m in common if starts.count(m.number) == 1)
    best = replace(best, pairs=common, lost=(*best.lost, *open_))
    if any(_listed(talk, heard.interpretation.heard.words, n.start) for n in best.lost):
        return None
    return _breath(talk, heard, way, found, best) if best.pairs else None


def _listed(talk: Conversation, words: tuple[str, ...], at: int) -> bool:
    """True for the two of "two hundred in bucket one and two": a place that has a number, too."""
    grammar, joins = language(talk.language).numbers, talk.interpreter.lexicon.list("list_joins")
    digits = [any(0 < v < _TEN for v in grammar.values((word,))) for word in words[max(0, at - 2) : at + 1]]
    if at <= _TWO or words[at - 1] not in joins or not (digits[0] and digits[-1]):
        return False
    return not grammar.is_number_word(words[at - _TWO - 1])


def _has(way: Solution, match: Match) -> bool:
    return any((m.key, m.number, m.value) == (match.key, match.number, match.value) for m in way.pairs)


def _breath(talk: Conversation, heard: Heard, way: Way, found: Matched, best: Solution) -> Breath:
    words, lexicon, now = heard.interpretation.heard.words, talk.interpreter.lexicon, talk.clock.now()
    pairs = [_pair(found, match) for match in best.pairs]
    named = [m.name for m in best.pairs if m.name is not None]
    parts: list[Name | Span] = [*named, *(m.number for m in best.pairs)]
    used = {i for part in parts for i in range(part.start, part.end)}
    put = lexicon.list("prepositions") | lexicon.list("deed_into")
    into = {i for i, word in enumerate(words) if word in put and i not in used}
    unnumbered = [
        Mention((Topic("equipment", name.can_be[0][1], now),), name.start, name.end)
        for name in best.unnumbered
        if len(name.can_be) == 1 and not name.food
        if not {*range(max(0, name.start - 2), name.start)} & into
        if not {*words[name.end : name.end + 2]} & lexicon.list("denying")
    ]
    ones = lexicon.list("batch_one")
    times = sum(told.part == "at" for told in way)
    gone = (*best.lost, *(best.replaced if times else ()))  # it may be what was read at that time
    lost = [(n.start, n.end) for n in gone if not {*words[n.start : n.end]} <= ones]
    alone = {m.key[1]: m.name.end for m in best.pairs if m.name is not None and _alone(m.name)}
    rows = [name for name in named if name.several]
    open_ = (
        bool(best.replaced)
        or _in_no_order(talk, heard, best)
        or any(  # names first, then numbers
            two.name is not None and not two.name.several and one.number.end > two.name.start
            for one, two in pairwise(best.pairs)
        )
    )
    open_ = open_ or any(name.food and not name.sure for name in named)  # in words that nobody knows
    open_ = open_ or any(n.listed and not {*words[n.end : n.end + 1]} & lexicon.list("read_at") for n in rows)
    listed = any(name.listed for name in rows)
    return Breath(pairs, lost, unnumbered, frozenset(used), alone, bool(rows), listed, open_)


def _in_no_order(talk: Conversation, heard: Heard, best: Solution) -> bool:
    """True for "larder thirty eight, forty four, bar fridge": no word tells what the second is of."""
    said, into = heard.interpretation.heard, talk.interpreter.lexicon.list("prepositions")
    first = [m.name is not None and m.number.end <= m.name.start for m in best.pairs]
    bare = [
        ahead and m.name is not None and not into & {*said.words[m.number.end : m.name.start]}
        for ahead, m in zip(first, best.pairs, strict=True)
    ]
    parted = any(m.number.end in said.breaks for m, each in zip(best.pairs, bare, strict=True) if each)
    return parted or (any(bare) and not all(first))


def _alone(name: Name) -> bool:
    """True for a place told by its number alone: "two is", "the second"."""
    return bool(name.after) or (len(name.can_be) > 1 and not name.aspect and all(map(family, name.can_be)))


def _pair(found: Matched, match: Match) -> Pair:
    name = match.name if match.name is not None and match.name.aspect else None
    aspect = (name.start, name.end) if name is not None else None
    topic, reading = found.readings[match.key, aspect, match.read or match.number]
    place = match.place[1] if match.place is not None else ""
    number = Number(match.number.start, match.number.end, same=match.number in found.same)
    return Pair(topic, reading, number, place)
