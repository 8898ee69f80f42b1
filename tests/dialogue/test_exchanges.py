"""Whole exchanges, typed: tests/dialogue/exchanges/*.csv, a row a turn, one conversation's rows in order.

Columns: conversation, profile (empty: the default), say, intent, reply_has (parts separated by |, all
needed, case ignored), reply_lacks (parts separated by |), verdict, asks (yes or no), entry
("subject=value" of a logged reading, several separated by ;, "none" for no entry at all, "note" for one
note in the cook's own words), source (where
the right answer comes from). Empty columns are not checked. Optional columns: at (sets the clock before
the turn: "14:30", "+1 08:00" a day later), kinds (the kinds of all entries of the turn, in order, separated
by spaces), language (the answer's), kitchen (another one than the example, a file of ``kitchens``).
What is said may be "(quiet)", a quiet moment in which the assistant may speak unasked, "(restart)",
the program ended and started again on the same log, or "(overheard) " and words that nobody said to it.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from itertools import groupby
from pathlib import Path

import pytest

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.turn import Turn
from assistant.logbook.clock import SetClock
from intents.hypotheses import Hypotheses

OVERHEARD = "(overheard) "
SILENCE = Turn(heard="", confidence=0.0)
FOLDER = Path(__file__).parent / "exchanges"
SHIPPED = ("shifts",)
"""Tables of the example kitchen as it is shipped: they are spoken, too."""
OPEN = FOLDER.parent / "open_exchanges.csv"
"""Conversations not yet answered as their rows say, since a net and no longer patterns tells what was meant.

The column tells what comes today. A mended one fails here until it is taken out.
"""


def _open() -> dict[tuple[str, str], str]:
    with OPEN.open(encoding="utf-8", newline="") as file:
        return {(r["table"], r["conversation"]): r["what comes today"] for r in csv.DictReader(file)}


def _conversations() -> list[object]:
    found, left = [], _open()
    for path in sorted(FOLDER.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
        for name, turns in groupby(rows, key=lambda row: row["conversation"]):
            reason = left.get((path.stem, name))
            marks = [pytest.mark.xfail(strict=True, reason=reason)] if reason is not None else []
            found.append(pytest.param(path.stem, list(turns), id=f"{path.stem}: {name}", marks=marks))
    return found


@pytest.mark.parametrize(("table", "rows"), _conversations())
def test_exchange(table: str, rows: list[dict[str, str]], talk_under: Callable[..., Conversation]) -> None:
    """Each turn of the conversation is understood, answered and logged as its row says."""
    profile, kitchen = (rows[0].get(column) or "" for column in ("profile", "kitchen"))
    talk = talk_under(profile, shipped=table in SHIPPED, kitchen=kitchen)
    for row in rows:
        if row.get("at"):
            _set_clock(talk, row["at"])
        if row["say"] == "(restart)":
            talk = Conversation(talk.site, talk.log, talk.clock, talk.interpreter)
            talk.go_on()
        elif row["say"] == "(quiet)":
            _check(row, talk.remind() or SILENCE)
        else:
            said = Hypotheses.typed(row["say"].removeprefix(OVERHEARD))
            overheard = row["say"].startswith(OVERHEARD)
            _check(row, talk.hear(replace(said, engine="scripted") if overheard else said))


def _set_clock(talk: Conversation, at: str) -> None:
    """Move the kitchen's clock to a time of day, with "+1 " before it a day later."""
    days, _, time = at.rpartition(" ")
    hour, minute = map(int, time.split(":"))
    assert isinstance(talk.clock, SetClock)
    day = talk.clock.time + timedelta(days=int(days or 0))
    talk.clock.time = day.replace(hour=hour, minute=minute)


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
    if row.get("kinds"):
        assert " ".join(e.kind for e in turn.entries) == row["kinds"], said
    if row.get("language"):
        assert turn.language == row["language"], said
    if row.get("entry") == "none":
        assert not turn.entries, said
    elif row.get("entry") == "note":
        assert [e.note[:6] for e in turn.entries] == ["note: "], said
    elif row.get("entry"):
        readings = [f"{e.subject}={e.value}" for e in turn.entries if e.value is not None]
        assert readings == row["entry"].split(";"), said
