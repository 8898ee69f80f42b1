"""Words put into our own streaming model's graph when it is loaded: a site's names, which it cannot know.

The graph is two files of OpenFst's plain ``vector`` form. One has all words in a loop of states, each word a
chain of phones; the other tells what follows what. ``models/training/graph.py`` made them; a word more is
made here in the same way, at the loop's and at the back-off state's end. Nothing that is there is changed.
"""

from __future__ import annotations

import struct
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from assistant.speech.phones import phones, pronounced

_COST = 8.0
"""How rare such a word is, as the model counts (practice: its own nouns have 6 to 10)."""
_BLANK = 1
_HEAD = 4 + 4 + 6 + 4 + 8 + 16
"""Bytes before the start state and the counts of states and arcs: a number, two names, four numbers."""
_STATE, _ARC = struct.Struct("<fq"), struct.Struct("<iifi")
_INFINITE = float("inf")
_LOOP, _GAP = 1, 2
"""In the graph of words: where each word begins and ends, and the silence between two."""
_BACK_OFF = 1
"""In the graph of what follows what: any word may come."""

Arc = tuple[int, int, float, int]
"""What goes in, what comes out, the cost, the state behind it."""


@dataclass
class _Graph:
    """A graph's bytes, read no further than needed: ``arcs`` of one state can be changed, states added."""

    head: bytes
    before: bytes
    final: float
    arcs: list[Arc]
    behind: bytes
    count: int
    total: int

    @classmethod
    def read(cls, content: bytes, state: int) -> _Graph:
        _, count, total = struct.unpack_from("<qqq", content, _HEAD)
        at = begun = _HEAD + 24
        for _ in range(state):
            at += _STATE.size + _ARC.size * int(_STATE.unpack_from(content, at)[1])
        final, size = _STATE.unpack_from(content, at)
        end = at + _STATE.size + _ARC.size * size
        arcs: list[Arc] = list(_ARC.iter_unpack(content[at + _STATE.size : end]))
        return cls(content[: _HEAD + 8], content[begun:at], final, arcs, content[end:], count, total - size)

    def state(self, *arcs: Arc) -> int:
        """Add a state that may not end a sentence; its arcs may lead to itself (-1)."""
        here, self.count, self.total = self.count, self.count + 1, self.total + len(arcs)
        whole = (_ARC.pack(*arc[:3], here if arc[3] == -1 else arc[3]) for arc in arcs)
        self.behind += _STATE.pack(_INFINITE, len(arcs)) + b"".join(whole)
        return here

    def whole(self) -> bytes:
        counts = struct.pack("<qq", self.count, self.total + len(self.arcs))
        state = _STATE.pack(self.final, len(self.arcs)) + b"".join(_ARC.pack(*arc) for arc in self.arcs)
        return self.head + counts + self.before + state + self.behind


def teach(folder: Path, names: Sequence[tuple[str, str]]) -> dict[str, tuple[str, ...]]:
    """Put words, each with letters that sound like it, into a model's ``graph``, a folder of our own.

    Returns the phones of those that the model did not have. One that it has keeps its own phones, and may
    from now on stand anywhere; one for which there are no phones stays unknown.
    """
    numbers, learnt = _numbers(folder), unknown(folder, names)
    _write(folder, numbers, learnt, [word for word, _ in names if word in numbers or word in learnt])
    return learnt


def unknown(folder: Path, names: Sequence[tuple[str, str]]) -> dict[str, tuple[str, ...]]:
    """Return the phones of those of ``names`` that the model with the graph in ``folder`` does not have."""
    known = _numbers(folder)
    phones_of = pronounced(letters for word, letters in names if word not in known)
    return {word: phones_of[letters] for word, letters in names if word not in known and letters in phones_of}


def known_words(folder: Path) -> frozenset[str]:
    """Return the words that the model with the graph in ``folder`` was made with."""
    return frozenset(_numbers(folder))


def _numbers(folder: Path) -> dict[str, int]:
    listed = (folder / "words.txt").read_text("utf-8").splitlines()
    return {word: int(number) for word, number in map(str.split, listed)}


def _write(
    folder: Path, numbers: dict[str, int], learnt: Mapping[str, Sequence[str]], words: Sequence[str]
) -> None:
    fresh = {word: len(numbers) + at for at, word in enumerate(learnt)}
    spelled = _Graph.read((folder / "HCLr.fst").read_bytes(), _LOOP)
    for word, number in fresh.items():
        _spell(spelled, number, [phones().index(phone) + 2 for phone in learnt[word]])
    follows = _Graph.read((folder / "Gr.fst").read_bytes(), _BACK_OFF)
    numbers |= fresh
    may_come = {arc[0] for arc in follows.arcs}
    for word in words:
        if numbers[word] not in may_come:
            behind = follows.state((0, 0, 0.0, _BACK_OFF))
            follows.arcs.append((numbers[word], numbers[word], _COST, behind))
    follows.arcs.sort()
    lines = "".join(f"{word} {number}\n" for word, number in numbers.items())
    for name, content in (
        ("HCLr.fst", spelled.whole()),
        ("Gr.fst", follows.whole()),
        ("words.txt", lines.encode()),
    ):
        (folder / name).unlink()  # a link to the model's own file, which stays as it is
        (folder / name).write_bytes(content)


def _spell(graph: _Graph, number: int, chain: Sequence[int]) -> None:
    """Add a word's chain, last phone first: each may last, and silence may come behind it."""
    to = _LOOP
    for at in range(len(chain) - 1, -1, -1):
        phone = chain[at]
        blank = _GAP if to == _LOOP else graph.state((0, 0, 0.0, to), (2 * _BLANK - 1, 0, 0.0, -1))
        into = graph.state((0, 0, 0.0, to), (2 * _BLANK, 0, 0.0, blank), (2 * phone - 1, 0, 0.0, -1))
        if at == 0:
            graph.arcs.append((2 * phone, number, 0.0, into))  # the word itself comes out at its first phone
        else:
            to = graph.state((2 * phone, 0, 0.0, into))
