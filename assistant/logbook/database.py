"""The SQLite file under the log: opening it safely, one transaction helper, its guards and version."""

from __future__ import annotations

import os
import sqlite3
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Any

from assistant.errors import DamagedLogError, InputError, KitchenError, LogWriteError
from assistant.logbook.clips import OWNER_ONLY, make_folder
from assistant.logbook.renew import RULES, Anew, Progress
from assistant.logbook.scripts import SCRIPTS, statements
from assistant.logbook.shape import page_faults, shape_faults
from assistant.logbook.standing import PUT, Standing, values
from assistant.logbook.troubles import explain, explained

FILE_NAME = "logbook.sqlite3"
FIRST = "log something first, by kitchen listen or kitchen ask, or name another folder with --state"
BUSY_SECONDS = 10.0
PATIENCE_SECONDS = 2.0
"""A check holds the file no longer than this; whoever logs waits for no more."""
_STEPS_BETWEEN_LOOKS = 100_000
VERSION = RULES
"""Of the tables, which are still the first, and of the rules by which the derived one is made: a log of older
rules has that one made anew. Tables are only added to: a rebuilt one would lose its guards and its past."""


class Database:
    """One connection, safe to use from several threads, one at a time."""

    def __init__(self, path: Path, *, writable: bool, progress: Progress | None = None) -> None:
        """Open ``path``; raises ``LogWriteError`` or ``InputError`` in one sentence.

        ``progress`` hears how far it is where the derived table is made anew, which may take minutes.
        """
        self._progress = progress
        self.path = path
        self._writable = writable
        self._lock = threading.RLock()
        self._open()

    def _open(self) -> None:
        self._sound_shape: int | None = None
        with explained(self.path):
            self._connection = _connect(self.path, writable=self._writable)
            try:
                self._file = self._file_now()
                self._prepare(writable=self._writable)
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
        self._connection.executemany(PUT, [values(row) for row in rows])

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
            self._follow_file()
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

    @property
    def in_transaction(self) -> bool:
        """Whether ``atomic`` is open just now."""
        return self._connection.in_transaction

    def _file_now(self) -> tuple[int, int]:
        found = self.path.stat()
        return found.st_dev, found.st_ino

    def _follow_file(self) -> None:
        """Where another file was put in the log's place, go on with that one, not with what nobody sees.

        Raises ``LogWriteError`` where there is none any more.
        """
        try:
            now = self._file_now()
        except OSError:
            raise LogWriteError(
                f"the file of the log {self.path} is gone: it was moved or removed while the program ran; put"
                " it back, or restore the last backup"
            ) from None
        if now != self._file:
            self._connection.close()
            self._open()

    def copy_to(self, target: Path) -> None:
        """Copy the log to a new file, a consistent picture although others go on writing."""
        with self._lock, explained(target), closing(sqlite3.connect(target, isolation_level=None)) as copy:
            self._connection.backup(copy, pages=4096, sleep=0.01)
            copy.execute("PRAGMA journal_mode = DELETE")  # one file, readable from a read-only stick

    def shape_faults(self) -> tuple[str, ...]:
        """Return what of the log's structure is missing, altered or not ours; empty is well.

        Cheap after the first time: SQLite counts every change of a structure.
        """
        (version,) = self.rows("PRAGMA schema_version")[0]
        if self._sound_shape != version:
            found = shape_faults(self.rows)
            if found:
                return found
            self._sound_shape = version
        return ()

    def refuse_other_shape(self) -> None:
        """Raise ``InputError`` where somebody altered the log's structure: nothing is written into that."""
        faults = self.shape_faults()
        if not faults and self._version() < VERSION:
            faults = ("its version was set back",)
        if faults:
            raise InputError(
                f"the log {self.path} is not built as this program builds it ({', '.join(faults)}): somebody"
                " altered it; keep the file and restore the last backup"
            )

    def page_faults(self) -> tuple[str, ...]:
        """Return what is wrong in the file's pages, tables and indexes.

        A large file is looked at in a copy, made in pieces: otherwise nobody could log meanwhile.
        """
        began = time.monotonic()
        with self._lock:
            self._connection.set_progress_handler(
                lambda: time.monotonic() - began > PATIENCE_SECONDS, _STEPS_BETWEEN_LOOKS
            )
            try:
                return page_faults(lambda sql: self._connection.execute(sql).fetchall())
            except sqlite3.OperationalError as error:
                if error.sqlite_errorcode != sqlite3.SQLITE_INTERRUPT:
                    return (str(explain(error, self.path)),)
            except sqlite3.Error as error:
                return (str(explain(error, self.path)),)
            finally:
                self._connection.set_progress_handler(None, 0)
        from tempfile import TemporaryDirectory  # with random, which a turn does without

        with TemporaryDirectory(prefix="kitchen-check-") as folder:
            copy = Path(folder) / FILE_NAME
            self.copy_to(copy)
            with closing(sqlite3.connect(copy)) as connection, explained(copy):
                return page_faults(lambda sql: connection.execute(sql).fetchall())

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """Hold one picture of the log for a few quick queries; keep it short, a writer waits meanwhile."""
        with self._lock, explained(self.path):
            self._connection.execute("BEGIN")
            try:
                yield
            finally:
                self._connection.execute("ROLLBACK")

    def _prepare(self, *, writable: bool) -> None:
        version = self._version()
        if version > VERSION:
            raise InputError(
                f"the log {self.path} was written by a newer version of this program: update this one"
            )
        if writable and not version:
            self._create()
        elif not version:
            raise InputError(f"{self.path} holds no log yet: {FIRST}")
        if writable:
            if 0 < version < VERSION and not self.shape_faults():
                self._renew()
            self.refuse_other_shape()

    def _version(self) -> int:
        return int(self._connection.execute("PRAGMA user_version").fetchone()[0])

    def older(self, site: str = "") -> bool:
        """Whether the derived table was made by the rules of an older version."""
        return self._version() < VERSION

    def _renew(self) -> None:
        """Make the derived table anew by today's rules; others go on logging for most of that time.

        That of a log with unreadable entries stays as it is: the check names what is damaged.
        """
        sites = self.rows("SELECT site FROM entries ORDER BY id LIMIT 1")
        anew = Anew(self, str(sites[0][0]) if sites else "", self._progress)
        try:
            with suppress(DamagedLogError):
                anew.follow()
            with self.atomic():
                with suppress(DamagedLogError):
                    anew.follow()
                    anew.put()
                self._connection.execute(f"PRAGMA user_version = {VERSION}")
        finally:
            anew.close()

    def _create(self) -> None:
        with self.atomic():
            if self._version():  # another program was quicker
                return
            if self._connection.execute("SELECT 1 FROM sqlite_master").fetchone():
                raise InputError(f"{self.path} belongs to another program: name another folder for the log")
            for statement in (each for name in SCRIPTS for each in statements(name)):
                self._connection.execute(statement)
            self._connection.execute(f"PRAGMA user_version = {VERSION}")


def _connect(path: Path, *, writable: bool) -> sqlite3.Connection:
    _refuse_a_file(path.parent)
    if not writable and not path.is_file():
        raise InputError(f"there is no log in {path.parent.absolute()}: {FIRST}")
    if writable:
        make_folder(path.parent)
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, OWNER_ONLY))  # what lies beside it takes its mode
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
    """Commit means on the disk, with a rollback journal, whatever this SQLite can do.

    A write-ahead log would be played over an older file that somebody put in the log's place, so that neither
    is what it was; and a folder that is read-only could not be read. A log that has one is taken off it as
    soon as nobody else has it open.
    """
    _first_read(connection)
    connection.execute("PRAGMA recursive_triggers = ON")  # or REPLACE removes rows unseen
    connection.execute("PRAGMA busy_timeout = 0")
    with suppress(sqlite3.OperationalError):
        connection.execute("PRAGMA journal_mode = TRUNCATE")
    connection.execute(f"PRAGMA busy_timeout = {int(BUSY_SECONDS * 1000)}")
    connection.execute("PRAGMA synchronous = EXTRA")


def _roll_back_unfinished(path: Path) -> None:
    """A writer died in the middle: a reader may not mend that, so a writing connection does it once."""
    connection = _raw(path, "rw")
    try:
        _first_read(connection)
    finally:
        connection.close()
