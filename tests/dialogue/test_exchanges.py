"""Whole exchanges, typed: tests/dialogue/exchanges/*.csv, a row a turn, one conversation's rows in order.

Columns: conversation, profile (empty: the default), say, intent, reply_has (parts separated by |, all
needed, case ignored), reply_lacks (parts separated by |), verdict, asks (yes or no), entry
("subject=value" of a logged reading, several separated by ;, "none" for no entry at all), source (where
the right answer comes from). Empty columns are not checked.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from itertools import groupby
from pathlib import Path

import pytest

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.turn import Turn
from intents.hypotheses import Hypotheses

FOLDER = Path(__file__).parent / "exchanges"


def _conversations() -> list[object]:
    found = []
    for path in sorted(FOLDER.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
        for name, turns in groupby(rows, key=lambda row: row["conversation"]):
            found.append(pytest.param(list(turns), id=f"{path.stem}: {name}"))
    return found


@pytest.mark.parametrize("rows", _conversations())
def test_exchange(rows: list[dict[str, str]], talk_under: Callable[[str], Conversation]) -> None:
    """Each turn of the conversation is understood, answered and logged as its row says."""
    talk = talk_under(rows[0].get("profile", ""))
    for row in rows:
        _check(row, talk.hear(Hypotheses.typed(row["say"])))


def _check(row: dict[str, str], turn: Turn) -> None:
    said = f"{row['say']!r} -> {turn.intent}: {turn.reply!r}"
    if row.get("intent"):
        assert turn.intent == row["intent"], said
    for part in filter(None, (row.get("reply_has") or "").split("|")):
        assert part.lower() in turn.reply.lower(), f"{said} lacks {part!r}"
    for part in filter(None, (row.get("reply_lacks") or "").split("|")):
        assert part.lower() not in turn.reply.lower(), f"{said} has {part!r}"
    if row.get("verdict"):
        assert turn.verdict == row["verdict"], said
    if row.get("asks"):
        assert turn.asks == (row["asks"] == "yes"), said
    if row.get("entry") == "none":
        assert not turn.entries, said
    elif row.get("entry"):
        readings = [f"{e.subject}={e.value}" for e in turn.entries if e.value is not None]
        assert readings == row["entry"].split(";"), said
