"""Compares two nets: which judged sentences changed hands.

``uv run python -m tests.understanding.changed OLD NEW [unseen_1 ...]``, two folders as
``models/understanding`` is one. A sentence is lost when the old net's likeliest intent was right and the new
one's is not, won the other way round. Of a set that is only counted no sentence is printed, only how many
each intent lost and won, to whom and from whom.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from assistant.dialogue.conversation import interpreter_for
from assistant.site import load_site
from tests.understanding.judge import READ, Sentence, sentences, taught_as

Reader = Callable[[str], str]
"""Tells what a sentence is likeliest about."""


@dataclass(frozen=True)
class Move:
    """A judged sentence and what two nets take it for."""

    sentence: Sentence
    before: str
    after: str

    @property
    def lost(self) -> bool:
        """Right before, wrong now."""
        return self.sentence.right(self.before) and not self.sentence.right(self.after)

    @property
    def won(self) -> bool:
        """Wrong before, right now."""
        return self.sentence.right(self.after) and not self.sentence.right(self.before)


def reader(net: Path) -> Reader:
    """Return what tells a sentence's likeliest intent with the net of a folder, in the example kitchen."""
    with taught_as(net):
        interpreter = interpreter_for(load_site())
    return lambda say: interpreter.interpret(say).meaning.best.intent


def compared(said: Iterable[Sentence], old: Reader, new: Reader) -> list[Move]:
    """Return what each of two nets makes of every sentence."""
    return [Move(each, old(each.say), new(each.say)) for each in said]


def report(name: str, moves: list[Move]) -> list[str]:
    """Return the report on one set, line by line."""
    before = sum(m.sentence.right(m.before) for m in moves)
    now = sum(m.sentence.right(m.after) for m in moves)
    lost, won = [m for m in moves if m.lost], [m for m in moves if m.won]
    other = sum(m.before != m.after for m in moves) - len(lost) - len(won)
    lines = [
        f"{name}: {len(moves)} sentences, right {before} before, {now} now;"
        f" lost {len(lost)}, won {len(won)}, taken for another without either {other}"
    ]
    of = Counter(m.sentence.intent for m in moves)
    for intent in sorted({m.sentence.intent for m in (*lost, *won)}):
        to = Counter(m.after for m in lost if m.sentence.intent == intent)
        back = Counter(m.before for m in won if m.sentence.intent == intent)
        parts = [f"lost {to.total()} to {_names(to)}"] if to else []
        parts += [f"won {back.total()} from {_names(back)}"] if back else []
        lines.append(f"  {intent} ({of[intent]}): {'; '.join(parts)}")
    if name in READ:
        lines += [
            f"  {'lost' if m.lost else 'won'}: {m.sentence.say} [{m.sentence.intent}] {m.before} -> {m.after}"
            for m in (*lost, *won)
        ]
    return lines


def _names(counted: Counter[str]) -> str:
    return ", ".join(f"{name} {count}" if count > 1 else name for name, count in sorted(counted.items()))


def main() -> None:
    """Print the report on every set asked for."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("old", type=Path)
    asked.add_argument("new", type=Path)
    asked.add_argument("names", nargs="*", default=["unseen_1", "unseen_2"])
    given = asked.parse_args()
    old, new = reader(given.old), reader(given.new)
    for name in given.names:
        print(*report(name, compared(sentences(name), old, new)), sep="\n")


if __name__ == "__main__":
    main()
