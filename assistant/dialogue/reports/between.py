"""What stands between two numbers, or a number and a name, that may take each other back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue.reports.read_off import Number

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation


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


def meant_so(talk: Conversation, between: tuple[str, ...]) -> bool:
    """True where the number before is of the name behind: "walk-in thirty eight, no, that was the larder"."""
    lexicon = talk.interpreter.lexicon
    meant = any(f" {phrase} " in f" {' '.join(between)} " for phrase in lexicon.list("meant_so"))
    return meant or bool({*between} & lexicon.list("correction_openers"))
