"""The numbers of a breath that were read off: no times, no bounds, nothing counted; and "the same"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.dialogue.hearing import Heard
from assistant.dialogue.reports.counted import counts, not_read, of_all
from assistant.dialogue.reports.mentioned import Mention, tool_words
from assistant.dialogue.reports.times import Way
from assistant.dialogue.reports.whose import runs_on
from assistant.dialogue.topic import Topic
from intents.interpret import BOUND
from intents.language import language
from intents.meaning import Role
from intents.mentions import MASK, READ
from intents.not_measured import counts_things
from intents.number_roles import words_of_others
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_MOST = 1000
"""No gauge and no strip shows more: the words of such a number and those beside it were cut anyhow."""


@dataclass(frozen=True, slots=True)
class Number:
    """Words from ``start`` to ``end`` that say a number; ``same``: that of the reading before.

    ``torn``: cut from what no gauge shows ("twelve twenty one thirty five"), so it is no whole number.
    """

    start: int
    end: int
    same: bool = False
    torn: bool = False


@dataclass(slots=True)
class Pair:
    topic: Topic
    reading: Reading
    number: Number
    place: str = ""


@dataclass(slots=True)
class Breath:
    """What was found: pairs, numbers of nothing, and places that have no number."""

    pairs: list[Pair]
    lost: list[tuple[int, int]]
    unnumbered: list[Mention]
    words: frozenset[int]  # of the names and numbers
    numbered: dict[str, int]  # places told by their numbers alone, and where these end
    several: bool  # places are named several at once
    listed: bool  # each of several is told: "one through four"
    runs_on: bool  # names stand before other numbers, or where a list ends is not heard

    @property
    def same(self) -> bool:
        """True where a number is told by another's: "the same"."""
        return any(pair.number.same for pair in self.pairs)


def read_off(talk: Conversation, heard: Heard, way: Way, names: list[Mention]) -> Iterator[Number]:
    """Give the numbers that were read off, and "the same"; no time, no bound, nothing counted."""
    said, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    roles = heard.interpretation.meaning.roles
    named = {i for m in names for i in range(m.start, m.end)}
    timed = {i for told in way for i in told.words}
    bound = {i for s in said.concepts if s.value.startswith(BOUND) for i in (s.end, s.end + 1)}
    counted = of_all(said.words, lexicon) | tool_words(talk, said) | words_of_others(said)
    gone = named | timed | counted
    hidden = tuple(MASK if i in gone else word for i, word in enumerate(said.words))
    measures = talk.interpreter.readings_of(said.masked(gone)).heard.measures
    torn = {
        i for m in measures if m.value > _MOST for i in (m.start - 1, m.end)
    }  # "twelve twenty one thirty"
    for m in measures:
        if m.kind not in READ or m.start in bound or counts_things(said, m.end, lexicon):
            continue
        role: Role = roles[m.start] if len(roles) == len(said.words) else "value"
        if counts(said, role, m.end) or not_read(said, role, m.start, lexicon):
            continue
        before, behind = {*said.words[max(0, m.start - 2) : m.start]}, {*said.words[m.end : m.end + 1]}
        denied = {*said.words[max(0, m.start - 1) : m.start]} & lexicon.list("denying")
        vague = {" ".join(said.words[m.end : m.end + n]) for n in (1, 2)} & lexicon.list("vague_after")
        either = (before | behind) & lexicon.list("or_that")  # "is that a four or a nine"
        if not (denied or vague or either):
            whole = not {m.start, m.end - 1} & torn
            cut = _cut_right(talk, hidden, m.start, m.end) if whole else [Number(m.start, m.end, torn=True)]
            yield from cut
    phrases = sorted((tuple(p.split()) for p in lexicon.list("same_as_before")), key=len, reverse=True)
    joins = lexicon.list("list_joins")
    small = (lexicon.filler | lexicon.list("deed_articles")) - joins
    at = 0
    while at < len(hidden):
        size = next((len(p) for p in phrases if hidden[at : at + len(p)] == p), 0)
        after = next((i for i in range(at + size, len(hidden)) if hidden[i] not in small), len(hidden))
        then = hidden[after : after + 1]
        ends = not then or after in named or then[0] in lexicon.list("same_as")
        if size and (ends or then[0] in joins):  # no "too weak", no "too is three hundred"
            yield Number(at, at + size, same=True)
        at += size or 1


def _cut_right(talk: Conversation, words: tuple[str, ...], start: int, end: int) -> Iterator[Number]:
    """Give a number, or the two of "two hundred and one hundred", which is no two hundred and one."""
    grammar, joins = language(talk.language).numbers, talk.interpreter.lexicon.list("list_joins")
    if not runs_on(talk, words, end):
        yield Number(start, end)
        return
    for cut, _ in grammar.numbers_from(words, start):
        rest = cut + (words[cut : cut + 1] != () and words[cut] in joins)
        whole = next((last for last, _ in grammar.numbers_from(words, rest)), 0) if cut < end else 0
        if whole > end and not runs_on(talk, words, whole):
            yield from (Number(start, cut), Number(rest, whole))
            return
