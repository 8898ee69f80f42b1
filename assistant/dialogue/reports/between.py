"""What stands between a name and its number, or between two numbers that may take each other back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue.reports.mentioned import Mention
from assistant.dialogue.reports.read_off import Number
from intents.lexicon import Lexicon

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_NEAR = 3
"""So many words that say nothing of it may stand between a name and its number (judgement)."""


def anew(talk: Conversation, words: tuple[str, ...], before: Number, number: Number) -> bool:
    """True where a number takes back the one before: "forty, no, thirty nine", "..., thirty nine I mean"."""
    between, lexicon = {*words[before.end : number.start]}, talk.interpreter.lexicon
    openers, first = lexicon.list("correction_openers"), words[before.start : before.end]
    begun = not between and words[number.start : number.end][: len(first)] == first
    if begun and {*words[max(0, before.start - 1) : before.start]} & openers:
        return True  # "forty, no, thirty, thirty nine"
    behind = words[number.end : number.end + 2]
    meant = {" ".join(behind), *behind[:1]} & lexicon.list("meant_so")
    was = lexicon.list("told_before") & {
        *words[: before.start]
    }  # "was forty three when I came in, forty now"
    now = was and lexicon.list("told_now") & {*words[before.end :]}
    return bool(between & openers or meant or now)


def plain(talk: Conversation, words: tuple[str, ...], name: Mention, number: Number) -> bool:
    """True where hardly anything stands between a name and its number, and nothing wishes for it."""
    lexicon = talk.interpreter.lexicon
    wished = lexicon.list("wished") - lexicon.links
    gone = lexicon.list("takes_back") - lexicon.list("of_remarks") - lexicon.list("correction_openers")
    after = {*words[number.end : number.end + _NEAR]}
    if after & lexicon.list("past_only") and after & (gone | lexicon.list("was_before")):
        return False  # "that was before the door got fixed"
    small = lexicon.links | lexicon.filler | lexicon.list("read_at") | lexicon.list("short_small")
    between = [word for word in _clause(lexicon, words, name, number) if word not in small]
    before = {*words[max(0, name.start - _NEAR) : name.start]} - lexicon.list("denying")
    return len(between) <= _NEAR and not (before | {*between}) & wished


def _clause(lexicon: Lexicon, words: tuple[str, ...], name: Mention, number: Number) -> tuple[str, ...]:
    """Return what stands between a name and its number, of a story only its end: "..., so it reads forty"."""
    between = words[name.end : number.start]
    told = lexicon.list("read_at") | lexicon.list("still_it")
    at = len(between)
    while at and between[at - 1] in told:
        at -= 1
    again = lexicon.list("still_it") & {*between[at:]} and lexicon.list("read_at") & {*between[at:]}
    return between[at:] if again else between
