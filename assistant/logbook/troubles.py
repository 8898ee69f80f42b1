"""Turns what the database or the disk reports into one sentence for a person."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from assistant.errors import InputError, KitchenError, LogWriteError, in_words


def explain(error: Exception, path: Path) -> KitchenError:
    """Return the fault in words: ``LogWriteError`` (disk, lock) or ``InputError`` (the file itself)."""
    code = (getattr(error, "sqlite_errorcode", None) or 0) & 0xFF
    number = getattr(error, "errno", None)
    kept = "nothing logged before is lost"
    if code == sqlite3.SQLITE_FULL or number in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return LogWriteError(f"the disk is full, {path} cannot be written: free some space; {kept}")
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM) or number in (
        errno.EROFS,
        errno.EACCES,
        errno.EPERM,
    ):
        return LogWriteError(f"{path} is read-only here: give write access to its folder; {kept}")
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return LogWriteError(f"another program holds the log {path}: close it and say it again; {kept}")
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_SCHEMA):
        return InputError(f"the log {path} is damaged or no log: keep it and restore the last backup")
    if code == sqlite3.SQLITE_CANTOPEN:
        return LogWriteError(f"the log {path} cannot be opened: see that its folder exists and is writable")
    if number in (errno.ENOENT, errno.ENOTDIR):
        return LogWriteError(
            f"there is no place for {path}: see that the folder above it can be made; {kept}"
        )
    if number == errno.EIO:
        return LogWriteError(f"the disk of {path} gives errors: copy what is on it to another; {kept}")
    return LogWriteError(f"{path} cannot be used ({in_words(error)}); {kept}")


@contextmanager
def explained(path: Path) -> Iterator[None]:
    """Raise database and disk faults as sentences."""
    try:
        yield
    except KitchenError:
        raise
    except (sqlite3.Error, OSError) as error:
        raise explain(error, path) from error
