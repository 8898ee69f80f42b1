"""Nothing is logged that nobody said: over all sentences of the exchanges, each to a fresh conversation."""

from __future__ import annotations

import csv
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.reports.ledger import said_values
from intents.hypotheses import Hypotheses

FOLDER = Path(__file__).parents[1] / "exchanges"
EVERY = 9
"""Every ninth sentence is tried; the benchmark of reports and the exchanges try the others."""


def _sentences() -> list[str]:
    found = []
    for path in sorted(FOLDER.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            found += [row["say"] for row in csv.DictReader(file)]
    return sorted({say for say in found if not say.startswith("(")})[::EVERY]


def test_every_value_logged_was_said(talk: Conversation) -> None:
    """A value in the log can be read out of the words of its own turn."""
    for say in _sentences():
        talk.fresh()
        heard = talk.interpreter.interpret(say).heard  # "freezer is at for below" is heard as four
        clauses = pairwise(sorted({0, *heard.breaks, len(heard.words)}))  # "thirty eight, box is wet"
        parts = [heard.words, *(heard.words[slice(*clause)] for clause in clauses)]
        entries = talk.hear(Hypotheses.typed(say)).entries
        said = set[Decimal]().union(*(said_values(part, talk.language) for part in parts))
        for entry in entries:
            if entry.kind == "reading" and entry.value is not None:
                assert Decimal(entry.value) in said, say


def test_what_was_not_used_is_given_back(talk: Conversation) -> None:
    """The time of what cannot be dated is named, not dropped."""
    turn = talk.hear(Hypotheses.typed("walk-in is thirty eight and it's been an hour"))
    assert [entry.value for entry in turn.entries] == ["38"]
    assert "I did not use 'an hour'" in turn.reply
