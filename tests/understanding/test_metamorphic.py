"""What does not change the meaning changes neither intent, entries nor verdict; what turns it round does.

Over the first turns of the exchanges, one in eight (all with ``EVERY=1``). A changed number or place in
the log is a failure whatever the share.
"""

from __future__ import annotations

import csv
import os
import zlib
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import pytest

from intents.hypotheses import Hypotheses
from intents.interpret import Interpreter
from tests.understanding.judge import kitchens

EXCHANGES = Path(__file__).parents[1] / "dialogue" / "exchanges"
EVERY = int(os.environ.get("EVERY", "8"))
MOST_CHANGED = 0.04
"""Share of sentences whose intent may change: the net is no grammar. Entries may only be asked about."""

SPOKEN_TO = 0.2
"""The same where a colleague is spoken to: what may be said to Rosa is read back or left alone."""

VARIANTS: dict[str, Callable[[str], str]] = {
    "thanks": lambda say: f"{say.rstrip('?.!')}, thanks",
    "please": lambda say: f"{say.rstrip('?.!')} please",
    "hey": lambda say: f"hey, {say}",
    "uh": lambda say: f"uh, {say}",
    "okay so": lambda say: f"okay so {say}",
    "a colleague": lambda say: f"hey Rosa, {say}",
    "you know": lambda say: f"{say.rstrip('?.!')} you know",
}


def first_turns() -> list[str]:
    """Return what is said first in each English conversation of the exchanges, a fixed part of them."""
    found: list[str] = []
    for path in sorted(EXCHANGES.glob("*.csv")):
        if path.stem.startswith("spanish"):
            continue
        with path.open(encoding="utf-8", newline="") as file:
            before = ""
            for row in csv.DictReader(file):
                if (
                    row["conversation"] != before
                    and not row["say"].startswith("(")
                    and not row.get("profile")
                ):
                    found.append(row["say"])
                before = row["conversation"]
    return [say for say in dict.fromkeys(found) if zlib.crc32(say.encode()) % EVERY == 0]


Outcome = tuple[str | None, str | None, tuple[tuple[str, str, str | None], ...]]
Said = Callable[[str], tuple[Outcome, str]]
"""Intent, verdict and entries of a sentence, and the reply."""


@pytest.fixture(scope="module")
def said(interpreter: Interpreter) -> Iterator[Said]:
    """What comes of one sentence said alone to an empty log."""
    with kitchens(interpreter) as kitchen:

        @cache
        def said(say: str) -> tuple[Outcome, str]:
            turn = kitchen().hear(Hypotheses.typed(say))
            entries = tuple((e.kind, e.subject, e.value) for e in turn.entries)
            return (turn.intent, turn.verdict, entries), turn.reply

        yield said


@pytest.mark.parametrize("name", VARIANTS)
def test_courtesy_changes_nothing(name: str, said: Said) -> None:
    """Courtesy, fillers and a name leave intent, verdict and entries alone, or the number is asked."""
    changed: list[str] = []
    turns = first_turns()
    for say in turns:
        (intent, verdict, entries), _ = said(say)
        (other, other_verdict, other_entries), _ = said(VARIANTS[name](say))
        before, after = (tuple(e for e in each if e[2] is not None) for each in (entries, other_entries))
        if before and after:
            assert after == before, f"{VARIANTS[name](say)!r} logs {other_entries}, not {entries}"
        if (intent, verdict) != (other, other_verdict) or bool(entries) != bool(other_entries):
            changed.append(f"{say}: {intent} -> {other}")
    most = SPOKEN_TO if name == "a colleague" else MOST_CHANGED
    assert len(changed) <= most * len(turns), "\n".join(changed)


PAIRS = [
    ("can the raw chicken go over the lettuce", "can the lettuce go over the raw chicken"),
    ("can the raw chicken go over the lettuce", "can the raw chicken go under the lettuce"),
    ("where does the raw chicken go", "where does the cooked chicken go"),
    ("is the walk-in okay at thirty eight", "the walk-in is at thirty eight"),
    ("can I thaw the shrimp under cold running water", "can I thaw the shrimp in hot water"),
    ("can I wash my gloves", "I washed my hands"),
]


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_what_turns_the_answer_turns_it(one: str, other: str, said: Said) -> None:
    """Raw for cooked, over for under, asking for telling: another answer or another entry."""
    (_, _, first), first_reply = said(one)
    (_, _, second), second_reply = said(other)
    assert (first_reply, len(first)) != (second_reply, len(second))
