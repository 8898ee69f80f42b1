"""A breath matched as a whole: what the cheapest way to share its numbers leaves, and where two are as cheap."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue.hearing import Heard
from assistant.dialogue.reports.matched import Matched, matched
from assistant.dialogue.reports.matching import Match, Solution
from assistant.dialogue.reports.mentioned import Mention
from assistant.dialogue.reports.read_off import Breath, Number, Pair
from assistant.dialogue.reports.times import Way
from assistant.dialogue.topic import Topic

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

MARGIN = 0.75
"""Ways that cost so little more than the cheapest are as good (judgement)."""


def breaths(talk: Conversation, heard: Heard, way: Way) -> tuple[Breath, ...]:
    """Return the cheapest ways to match a breath; several where they are as good."""
    found = matched(talk, heard, way)
    if not found.ways:
        return ()
    best = found.ways[0]
    good = [each for each in found.ways if each.cost <= best.cost + MARGIN and each.pairs]
    return tuple(_breath(talk, heard, way, found, each) for each in good)


def _breath(talk: Conversation, heard: Heard, way: Way, found: Matched, best: Solution) -> Breath:
    words, lexicon, now = heard.interpretation.heard.words, talk.interpreter.lexicon, talk.clock.now()
    pairs = [_pair(found, match) for match in best.pairs]
    put = lexicon.list("prepositions") | lexicon.list("deed_into")
    unnumbered = [
        Mention((Topic("equipment", name.can_be[0][1], now),), name.start, name.end)
        for name in best.unnumbered
        if len(name.can_be) == 1 and not name.food
        if not {*words[max(0, name.start - 2) : name.start]} & put
        if not {*words[name.end : name.end + 2]} & lexicon.list("denying")
    ]
    ones = lexicon.list("batch_one")
    lost = [(n.start, n.end) for n in best.lost if not {*words[n.start : n.end]} <= ones]
    times = sum(told.part == "at" for told in way)
    return Breath(pairs, [], lost, unnumbered, times, len(best.pairs))


def _pair(found: Matched, match: Match) -> Pair:
    aspect = match.name is not None and match.name.aspect
    topic, reading = found.readings[match.key, aspect, match.number]
    place = match.place[1] if match.place is not None else ""
    return Pair(topic, reading, Number(match.number.start, match.number.end), place)
