"""The SQLite file under the log: opening it safely, one transaction helper, its guards and version."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from importlib.resources import files
from pathlib import Path
from typing import Any

from assistant.errors import InputError, KitchenError
from assistant.logbook.standing import COLUMNS, Standing, values
from assistant.logbook.troubles import explain, explained

FILE_NAME = "logbook.sqlite3"
BUSY_SECONDS = 10.0
VERSION = 1
"""Of the tables. Later versions only add: a rebuilt table would lose its guards and its past."""
_GUARDS = ("entries_in_order", "entries_no_delete", "entries_no_update")
_MARKS = ", ".join("?" for _ in COLUMNS)
_PUT = f"INSERT INTO standing ({', '.join(COLUMNS)}) VALUES ({_MARKS})"


def wal_is_safe(version: tuple[int, ...] = sqlite3.sqlite_version_info) -> bool:
    """Whether this SQLite has the fix for the write-ahead log's reset race (sqlite.org, page "wal").

    Fixed in 3.51.3, carried back to 3.50.7 and 3.44.6; 3.37 is needed for strict tables at all.
    """
    return version >= (3, 51, 3) or (3, 50, 7) <= version < (3, 51) or (3, 44, 6) <= version < (3, 45)


class Database:
    """One connection, safe to use from several threads, one at a time."""

    def __init__(self, path: Path, *, writable: bool) -> None:
        """Open ``path``; raises ``LogWriteError`` or ``InputError`` in one sentence."""
        self.path = path
        self._lock = threading.RLock()
        with explained(path):
            self._connection = _connect(path, writable=writable)
            try:
                self._prepare(writable=writable)
            except BaseException:
                self._connection.close()
                raise

    def close(self) -> None:
        """Close the connection; a second time does nothing."""
        self._connection.close()

    def rows(self, sql: str, parameters: Sequence[object] = ()) -> list[tuple[Any, ...]]:
        """Run one statement and return all its rows."""
        with self._lock, explained(self.path):
            return self._connection.execute(sql, tuple(parameters)).fetchall()

    def put(self, rows: Sequence[Standing]) -> None:
        """Insert rows of ``standing``."""
        self._connection.executemany(_PUT, [values(row) for row in rows])

    def put_entries(self, rows: Sequence[tuple[str, int, str, str, bytes]]) -> None:
        """Insert entries: site, number, previous hash, hash, body."""
        self._connection.executemany("INSERT INTO entries VALUES (?, ?, ?, ?, ?)", rows)

    @contextmanager
    def atomic(self) -> Iterator[None]:
        """One transaction that holds the write lock from its first line: all of it is kept, or nothing.

        Inside another one it is part of that.
        """
        with self._lock:
            if self._connection.in_transaction:
                yield
                return
            try:
                self._connection.execute("BEGIN IMMEDIATE")
                yield
                self._connection.execute("COMMIT")
            except BaseException as error:
                with suppress(sqlite3.Error):
                    self._connection.execute("ROLLBACK")
                if isinstance(error, (sqlite3.Error, OSError)) and not isinstance(error, KitchenError):
                    raise explain(error, self.path) from error
                raise

    def copy_to(self, target: Path) -> None:
        """Copy the log to a new file, a consistent picture although others go on writing."""
        with self._lock, explained(target), closing(sqlite3.connect(target, isolation_level=None)) as copy:
            self._connection.backup(copy, pages=4096, sleep=0.01)
            copy.execute("PRAGMA journal_mode = DELETE")  # one file, readable from a read-only stick

    def guards_missing(self) -> tuple[str, ...]:
        """Return the names of triggers that should protect the entries and are not there as written."""
        found = dict(self.rows("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"))
        text = script("schema.sql")
        return tuple(name for name in _GUARDS if (found.get(name) or "?") not in text)

    def _prepare(self, *, writable: bool) -> None:
        (version,) = self._connection.execute("PRAGMA user_version").fetchone()
        if version > VERSION:
            raise InputError(
                f"the log {self.path} was written by a newer version of this program: update this one"
            )
        if writable and version < VERSION:
            self._create()
        elif version < VERSION:
            raise InputError(f"{self.path} holds no log yet: log something first, or name another folder")
        missing = self.guards_missing()
        if missing and writable:
            raise InputError(
                f"the log {self.path} lacks its guards ({', '.join(missing)}): somebody altered it;"
                " keep the file and restore the last backup"
            )

    def _create(self) -> None:
        with self.atomic():
            (version,) = self._connection.execute("PRAGMA user_version").fetchone()
            if version:  # another program was quicker
                return
            if self._connection.execute("SELECT 1 FROM sqlite_master").fetchone():
                raise InputError(f"{self.path} belongs to another program: name another folder for the log")
            for statement in (*statements("schema.sql"), *statements("standing.sql")):
                self._connection.execute(statement)
            self._connection.execute(f"PRAGMA user_version = {VERSION}")


def script(name: str) -> str:
    """Return the text of one of the package's SQL files."""
    return (files("assistant.logbook") / name).read_text(encoding="utf-8")


def statements(name: str) -> tuple[str, ...]:
    """Return the statements of an SQL file; a blank line parts them or follows a semicolon."""
    found: list[str] = []
    lines: list[str] = []
    for line in script(name).splitlines():
        if line.startswith("--"):
            continue
        lines.append(line)
        text = "\n".join(lines).strip()
        if sqlite3.complete_statement(text):
            found.append(text.rstrip(";") if not text.endswith("END;") else text)
            lines = []
    return tuple(found)


def _connect(path: Path, *, writable: bool) -> sqlite3.Connection:
    _refuse_a_file(path.parent)
    if not writable and not path.is_file():
        raise InputError(
            f"there is no log in {path.parent.absolute()}: log something first, or name another folder"
        )
    if writable:
        path.parent.mkdir(parents=True, exist_ok=True)
    connection = _raw(path, "rwc" if writable else "ro")
    try:
        if writable:
            _make_durable(connection)
        else:
            _first_read(connection)
    except sqlite3.OperationalError as error:
        connection.close()
        if writable or error.sqlite_errorcode & 0xFF == sqlite3.SQLITE_BUSY:
            raise
        _roll_back_unfinished(path)
        return _raw(path, "ro")
    except sqlite3.Error:
        connection.close()
        raise
    return connection


def _refuse_a_file(folder: Path) -> None:
    """Raise ``InputError`` where a file stands in the place of the folder, or of one above it."""
    there = next((each for each in (folder, *folder.absolute().parents) if each.exists()), None)
    if there is not None and not there.is_dir():
        raise InputError(f"{there} is a file, and the log needs a folder: name another one with --state")


def _raw(path: Path, mode: str) -> sqlite3.Connection:
    connection = sqlite3.connect(
        f"{path.resolve().as_uri()}?mode={mode}", uri=True, isolation_level=None, timeout=BUSY_SECONDS,
        check_same_thread=False,
    )  # fmt: skip
    connection.execute(f"PRAGMA busy_timeout = {int(BUSY_SECONDS * 1000)}")
    return connection


def _first_read(connection: sqlite3.Connection) -> None:
    connection.execute("SELECT count(*) FROM sqlite_master").fetchone()


def _make_durable(connection: sqlite3.Connection) -> None:
    """Commit means on the disk: write-ahead where this SQLite does it safely, else a rollback journal."""
    _first_read(connection)
    connection.execute("PRAGMA recursive_triggers = ON")  # or REPLACE removes rows unseen
    if wal_is_safe():
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
    else:
        connection.execute("PRAGMA journal_mode = TRUNCATE")
        connection.execute("PRAGMA synchronous = EXTRA")


def _roll_back_unfinished(path: Path) -> None:
    """A writer died in the middle: a reader may not mend that, so a writing connection does it once."""
    connection = _raw(path, "rw")
    try:
        _first_read(connection)
    finally:
        connection.close()
