"""Copies of the log for the day the machine is lost; each copy is checked before it counts."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from assistant.errors import InputError, KitchenError
from assistant.logbook.anchors import add_anchor, read_anchors
from assistant.logbook.care import HEADS_NAME
from assistant.logbook.clips import (
    FOLDER_NAME,
    OWNER_ONLY,
    flush_folder,
    hash_file,
    make_folder,
    write_whole,
)
from assistant.logbook.database import FILE_NAME, Database
from assistant.logbook.troubles import explained
from assistant.logbook.verify import Report, verify_file
from assistant.logbook.views import Head, Views

ANCHORS_NAME = HEADS_NAME
SITE_NAME = "site.toml"
SETTINGS = ("manager_pin.json", "people.json", "care.toml")
"""What lies beside the log and is needed to go on with it."""
_UNFINISHED = f".{FILE_NAME}.part"


def backup(
    folder: Path,
    target: Path,
    when: datetime,
    progress: Callable[[int], None] | None = None,
    *,
    site_file: Path | None = None,
    mended: list[str] | None = None,
) -> Report:
    """Copy the log and its clips from ``folder`` to ``target``, adding to an earlier backup there.

    PIN, people, settings and the kitchen's ``site_file`` come along. A damaged clip in the earlier backup is
    made again and named in ``mended``. Runs beside a working assistant. The copy is checked whole (file,
    chain, clips, the head of the earlier backup) before it takes the earlier one's place; raises
    ``InputError``, keeping that one, if it fails.
    """
    if target.resolve() == folder.resolve():
        raise InputError("a backup needs a folder of its own, best on another disk")
    earlier = _known_heads(target)
    report = _copy(folder, target, earlier, progress, "the log", mended)
    _copy_settings(folder, target)
    if site_file is not None:
        with explained(target):
            write_whole(target / SITE_NAME, site_file.read_bytes())
    add_anchor(target / ANCHORS_NAME, report.head, when, "backup")
    return report


def restore(source: Path, folder: Path, progress: Callable[[int], None] | None = None) -> Report:
    """Copy a backup to ``folder``, where no log may be yet, and check what came out.

    Raises ``InputError`` when there is a log already, or when the backup is not whole.
    """
    if (folder / FILE_NAME).exists():
        raise InputError(f"there is a log in {folder} already: move it away first, nothing is overwritten")
    report = _copy(source, folder, _known_heads(source), progress, "the backup")
    _copy_settings(source, folder)
    for name in (SITE_NAME, ANCHORS_NAME):
        if (source / name).is_file() and not (folder / name).exists():
            with explained(folder):
                write_whole(folder / name, (source / name).read_bytes())
    return report


def _copy_settings(source: Path, target: Path) -> None:
    """Copy PIN, people and settings, as they are now."""
    for name in SETTINGS:
        if (source / name).is_file():
            with explained(target):
                write_whole(target / name, (source / name).read_bytes())


def _known_heads(folder: Path) -> tuple[Head, ...]:
    heads = read_anchors(folder / ANCHORS_NAME) if (folder / ANCHORS_NAME).is_file() else ()
    if not (folder / FILE_NAME).is_file():
        return heads
    with Views(Database(folder / FILE_NAME, writable=False)) as views:
        return (*heads, views.head())


def _copy(
    source: Path,
    target: Path,
    anchors: tuple[Head, ...],
    progress: Callable[[int], None] | None,
    name: str,
    mended: list[str] | None = None,
) -> Report:
    unfinished = target / _UNFINISHED
    with explained(target):
        make_folder(target)
        unfinished.unlink(missing_ok=True)
        os.close(os.open(unfinished, os.O_RDWR | os.O_CREAT, OWNER_ONLY))
    try:
        with Views(database := Database(source / FILE_NAME, writable=False)):
            database.copy_to(unfinished)
        _copy_clips(source / FOLDER_NAME, target / FOLDER_NAME, [] if mended is None else mended)
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


def _copy_clips(source: Path, target: Path, mended: list[str]) -> None:
    """Copy what is not there, or not there whole: a clip's name holds the beginning of its hash."""
    for path in target.rglob(".*.part"):
        path.unlink(missing_ok=True)
    for path in sorted(source.rglob("*.flac")):
        copy = target / path.relative_to(source)
        there = copy.is_file()
        if there and path.stem.endswith(hash_file(copy)[:12]):
            continue
        with explained(copy):
            write_whole(copy, path.read_bytes())
        if there:
            mended.append(path.relative_to(source).as_posix())


def _flush(path: Path) -> None:
    with path.open("r+b") as file:
        os.fsync(file.fileno())
