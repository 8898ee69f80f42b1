"""A table of how entries stand, made anew from the entries alone, to hold the log's own one against."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from assistant.logbook.scripts import statements
from assistant.logbook.standing import COLUMNS, PUT, Rows, Standing, values

_NEEDED = (
    "standing_amended",
    "standing_refers",
    "standing_open_subject",
    "standing_readings",
    "standing_closed_by",
)
"""The indexes that the keeper of the table asks; the others would only cost time here."""
_CHUNK = 5000
_SELECT = f"SELECT {', '.join(COLUMNS)} FROM standing WHERE site = ? AND id > ? ORDER BY id LIMIT ?"


class Scratch:
    """A table of standing of our own, in a file that SQLite removes by itself."""

    def __init__(self) -> None:
        """Make the table, empty."""
        self._connection = sqlite3.connect("", isolation_level=None)
        for statement in statements("standing.sql"):
            if statement.startswith("CREATE TABLE") or statement.split()[2] in _NEEDED:
                self._connection.execute(statement)
        self._connection.execute("BEGIN")

    def rows(self, sql: str, parameters: Sequence[object] = ()) -> list[tuple[Any, ...]]:
        """Run one statement and return all its rows."""
        return self._connection.execute(sql, tuple(parameters)).fetchall()

    def put(self, rows: Sequence[Standing]) -> None:
        """Insert rows of ``standing``."""
        self._connection.executemany(PUT, [values(row) for row in rows])

    def close(self) -> None:
        """Drop it all."""
        self._connection.close()


def differing(one: Rows, other: Rows, site: str, progress: Callable[[int], None] | None = None) -> list[int]:
    """Return the numbers of the rows that two tables of standing do not agree on.

    ``progress`` gets, every few thousand rows, the number of the last one looked at.
    """
    found: list[int] = []
    left, right = _walk(one, site, progress), _walk(other, site)
    a, b = next(left, None), next(right, None)
    while a is not None or b is not None:
        if a is not None and (b is None or a[1] < b[1]):
            found.append(int(a[1]))
            a = next(left, None)
        elif b is not None and (a is None or b[1] < a[1]):
            found.append(int(b[1]))
            b = next(right, None)
        else:
            assert a is not None
            if a != b:
                found.append(int(a[1]))
            a, b = next(left, None), next(right, None)
    return found


def row_of(table: Rows, site: str, number: int) -> tuple[Any, ...] | None:
    """Return the row of one entry, or ``None``."""
    rows = table.rows(f"SELECT {', '.join(COLUMNS)} FROM standing WHERE site = ? AND id = ?", [site, number])
    return tuple(rows[0]) if rows else None


def _walk(table: Rows, site: str, progress: Callable[[int], None] | None = None) -> Iterator[tuple[Any, ...]]:
    last = 0
    while rows := table.rows(_SELECT, [site, last, _CHUNK]):
        yield from (tuple(row) for row in rows)
        last = int(rows[-1][1])
        if progress:
            progress(last)
