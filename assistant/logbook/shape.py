"""Whether a log's file is built exactly as this program builds it, down to the pages of its indexes.

A trigger, a view or an index of somebody else's can hide or turn what is asked of the log without touching
one entry; an index made with another condition, or put in the place of another, answers with gaps.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from functools import cache
from typing import Any

from assistant.logbook.scripts import SCRIPTS, statements

Rows = Callable[[str], list[tuple[Any, ...]]]
_PARTS = "SELECT type, name, coalesce(sql, '') FROM sqlite_master"
_MOST_DAMAGE = 5


@cache
def _as_shipped() -> dict[tuple[str, str], str]:
    """Return every part of an empty log as SQLite itself writes it down: its text by kind and name."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as empty:
        for name in SCRIPTS:
            for statement in statements(name):
                empty.execute(statement)
        return {(kind, name): text for kind, name, text in empty.execute(_PARTS)}


def shape_faults(rows: Rows) -> tuple[str, ...]:
    """Return what of a log's structure is missing, altered or not ours, each in a few words."""
    shipped, found = _as_shipped(), {(kind, name): text for kind, name, text in rows(_PARTS)}
    wrong = [f"{kind} {name} is missing" for kind, name in shipped if (kind, name) not in found]
    wrong += [
        f"{kind} {name} was altered"
        for (kind, name), text in shipped.items()
        if found.get((kind, name), text) != text
    ]
    wrong += [
        f"{kind} {name} is not one of this log's" for kind, name in found if (kind, name) not in shipped
    ]
    return tuple(wrong)


def page_faults(rows: Rows) -> tuple[str, ...]:
    """Return what SQLite finds wrong in pages, tables and indexes (each index against its table)."""
    answers = [str(row[0]) for row in rows(f"PRAGMA integrity_check({_MOST_DAMAGE})")]
    return () if answers == ["ok"] else tuple(answers)
