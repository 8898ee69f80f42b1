"""Cuts an utterance into clauses: one way for all that look at what each of them tells."""

from __future__ import annotations

from collections.abc import Collection
from itertools import pairwise

from assistant.dialogue.conversation import Conversation
from intents.language import language
from intents.mentions import READ, Understanding

Part = tuple[int, int]
"""A clause: its first word, and the one behind its last."""
ANSWERS = ("yes", "no")
_JOINTS = ("deed_joints", "asides", "therefore")
_NEAR = 3
"""So few words behind a place's name its number follows."""


def joints(talk: Conversation) -> frozenset[str]:
    """Return the words that join clauses and belong to none."""
    return frozenset().union(*(talk.interpreter.lexicon.list(name) for name in _JOINTS))


def cut(
    talk: Conversation, read: Understanding, *, apart: Collection[int] = (), tied: Collection[int] = ()
) -> list[Part]:
    """Return the stretches between commas, joints, numbers read, places with a number and a yes or no.

    The words ``apart`` are in none; at ``tied`` only a comma ends one.
    """
    joining, last = joints(talk), {end - 1 for end in (*read.breaks, len(read.words))}  # "he said so"
    phrases = [(i, i + n) for n in (1, 2) for i in range(len(read.words))]
    found = (part for part in phrases if " ".join(read.words[slice(*part)]) in joining)
    between = {i for part in found for i in range(*part) if not _in_a_number(read, i)}
    between -= {*last, *tied}
    numbers = [m for m in read.free_measures if m.kind in READ]
    begin = {m.start for m in numbers}
    ends = {s.end for s in read.concepts if s.value in ANSWERS and s.start == 0}
    ends |= {s.start for s in read.names.get("equipment", ()) if begin & {*range(s.end, s.end + _NEAR)}}
    ends = (ends - {*tied}) | between | {i + 1 for i in between}
    cuts = {each for each in ends if not any(q.start < each < q.end for q in read.quantities)}
    cuts |= {0, len(read.words), *read.breaks, *apart, *(i + 1 for i in apart)}
    cuts |= {m.end for m in numbers if m.end not in tied}
    return [(a, b) for a, b in pairwise(sorted(cuts)) if a not in between | {*apart}]


def _in_a_number(read: Understanding, at: int) -> bool:
    """True for the "and" of "one hundred and forty" and of "treinta y ocho"."""
    is_number = language(read.language).numbers.is_number_word
    around = (read.words[i : i + 1] for i in (at - 1, at + 1) if i >= 0)
    return all(any(map(is_number, word)) for word in around)
