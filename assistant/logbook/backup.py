"""Copies of the log for the day the machine is lost; each copy is checked before it counts."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path

from assistant.errors import InputError, KitchenError
from assistant.logbook.anchors import add_anchor, read_anchors
from assistant.logbook.care import HEADS_NAME
from assistant.logbook.clips import FOLDER_NAME, flush_folder, write_whole
from assistant.logbook.database import FILE_NAME, Database
from assistant.logbook.troubles import explained
from assistant.logbook.verify import Report, verify_file
from assistant.logbook.views import Head, Views

ANCHORS_NAME = HEADS_NAME
_UNFINISHED = f".{FILE_NAME}.part"


def backup(
    folder: Path, target: Path, when: datetime, progress: Callable[[int], None] | None = None
) -> Report:
    """Copy the log and its clips from ``folder`` to ``target``, adding to an earlier backup there.

    Runs beside a working assistant. The copy is checked whole (file, chain, clips, the head of the earlier
    backup) before it takes the earlier one's place; raises ``InputError``, keeping that one, if it fails.
    """
    if target.resolve() == folder.resolve():
        raise InputError("a backup needs a folder of its own, best on another disk")
    earlier = _known_heads(target)
    report = _copy(folder, target, earlier, progress, "the log")
    add_anchor(target / ANCHORS_NAME, report.head, when, "backup")
    return report


def restore(source: Path, folder: Path, progress: Callable[[int], None] | None = None) -> Report:
    """Copy a backup to ``folder``, where no log may be yet, and check what came out.

    Raises ``InputError`` when there is a log already, or when the backup is not whole.
    """
    if (folder / FILE_NAME).exists():
        raise InputError(f"there is a log in {folder} already: move it away first, nothing is overwritten")
    return _copy(source, folder, _known_heads(source), progress, "the backup")


def _known_heads(folder: Path) -> tuple[Head, ...]:
    heads = read_anchors(folder / ANCHORS_NAME) if (folder / ANCHORS_NAME).is_file() else ()
    if not (folder / FILE_NAME).is_file():
        return heads
    with Views(Database(folder / FILE_NAME, writable=False)) as views:
        return (*heads, views.head())


def _copy(
    source: Path, target: Path, anchors: tuple[Head, ...], progress: Callable[[int], None] | None, name: str
) -> Report:
    unfinished = target / _UNFINISHED
    with explained(target):
        target.mkdir(parents=True, exist_ok=True)
        unfinished.unlink(missing_ok=True)
    try:
        with Views(database := Database(source / FILE_NAME, writable=False)):
            database.copy_to(unfinished)
        _copy_clips(source / FOLDER_NAME, target / FOLDER_NAME)
        _check_pages(unfinished)
        report = verify_file(unfinished, target / FOLDER_NAME, anchors, progress)
        if report.first:
            raise InputError(f"{name} in {source} is not whole, so it was not copied: {report.first.text}")
        with explained(target):
            _flush(unfinished)
            os.replace(unfinished, target / FILE_NAME)
            flush_folder(target)
    except (KitchenError, OSError):
        unfinished.unlink(missing_ok=True)
        raise
    return report


def _copy_clips(source: Path, target: Path) -> None:
    """Copy what is not there yet; what is there is held against the entries afterwards."""
    for path in sorted(source.rglob("*.flac")):
        copy = target / path.relative_to(source)
        if not copy.is_file() or copy.stat().st_size != path.stat().st_size:
            with explained(copy):
                write_whole(copy, path.read_bytes())


def _check_pages(path: Path) -> None:
    with explained(path), closing(sqlite3.connect(path)) as copy:
        (answer,) = copy.execute("PRAGMA integrity_check").fetchone()
    if answer != "ok":
        raise InputError(f"the file of the log is damaged: {answer}")


def _flush(path: Path) -> None:
    with path.open("r+b") as file:
        os.fsync(file.fileno())
