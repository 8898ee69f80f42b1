"""What stands between two numbers, or a number and a name, that may take each other back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue.reports.read_off import Number

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation


def anew(talk: Conversation, words: tuple[str, ...], before: Number, number: Number, *, timed: bool) -> bool:
    """True where a number takes back the one before: "forty, no, thirty nine", "..., thirty nine I mean".

    What it was counts no more where it is told what it is, unless each is ``timed``.
    """
    between, lexicon = words[before.end : number.start], talk.interpreter.lexicon
    first = words[before.start : before.end]
    begun = not between and words[number.start : number.end][: len(first)] == first
    if begun and takes_back(talk, words[max(0, before.start - 1) : before.start]):
        return True  # "forty, no, thirty, thirty nine"
    behind = words[number.end : number.end + 2]
    meant = {" ".join(behind), *behind[:1]} & lexicon.list("meant_so")
    was = lexicon.list("told_before") & {
        *words[: before.start]
    }  # "was forty three when I came in, forty now"
    now = was and not timed and lexicon.list("told_now") & {*words[before.end :]}
    return takes_back(talk, between) or bool(meant or now)


def takes_back(talk: Conversation, between: tuple[str, ...]) -> bool:
    """True where the words between two numbers correct: "no", "wait", "actually"."""
    return bool({*between} & talk.interpreter.lexicon.list("correction_openers"))


def meant_so(talk: Conversation, between: tuple[str, ...]) -> bool:
    """True where the number before is of the name behind: "walk-in thirty eight, no, that was the larder"."""
    lexicon = talk.interpreter.lexicon
    meant = any(f" {phrase} " in f" {' '.join(between)} " for phrase in lexicon.list("meant_so"))
    return meant or takes_back(talk, between)
