"""Several pieces of one food, each with its number."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue.hearing import Heard
from assistant.dialogue.reports import take
from assistant.dialogue.reports.counted import is_count
from assistant.dialogue.reports.fits import reading_of
from assistant.dialogue.statements import asks
from assistant.dialogue.topic import Topic
from intents.mentions import READ, Measure, Understanding
from intents.readings import Reading
from intents.short_names import ORDER

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_TWO = 2
_BETWEEN = ("read_at", "hesitating", "openers", "deed_articles", "list_joins", "points_other")
"""Lists of words that may stand between such numbers."""


def of_one_food(talk: Conversation, heard: Heard) -> tuple[Reading, ...]:
    """Return the numbers of several pieces of one food: "one's one sixty, the other one fifty"."""
    said, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    named = said.names.get("food", ())
    if not talk.addressed or asks(said) or said.names.get("equipment") or len({s.value for s in named}) != 1:
        return ()
    measures = numbers_of_pieces(talk, said)
    told = [m.value for m in measures]
    numbers = [m for m in measures if m.kind in READ and not is_count(m.value, told)]
    inside = {i for span in named for i in range(span.start, span.end)} | _ones(talk, said)
    inside |= {i for m in said.measures for i in range(m.start, m.end)}
    small = lexicon.small(*_BETWEEN, *ORDER)
    if len(numbers) < _TWO or any(i not in inside and w not in small for i, w in enumerate(said.words)):
        return ()
    topic = Topic("food", named[0].value, talk.clock.now())
    each = [reading_of(talk, topic, " ".join(said.words[m.start : m.end])) for m in numbers]
    read = tuple(reading for reading in each if reading is not None)
    return read if len(read) == len(numbers) and take.sensible(talk, read) else ()


def numbers_of_pieces(talk: Conversation, said: Understanding) -> tuple[Measure, ...]:
    """Return the numbers of "the second one one forty eight": its first "one" counts nothing."""
    ones = _ones(talk, said)
    return talk.interpreter.readings_of(said.masked(ones)).heard.free_measures if ones else said.free_measures


def _ones(talk: Conversation, said: Understanding) -> set[int]:
    lexicon, words = talk.interpreter.lexicon, said.words
    points = lexicon.list("points_other").union(*map(lexicon.list, ORDER))
    return {
        i for i in range(1, len(words)) if words[i] in lexicon.list("batch_one") and words[i - 1] in points
    }
