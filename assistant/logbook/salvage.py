"""Saves what is whole of a damaged log, and lists what is not.

The beginning of the chain, up to the first entry that is damaged or missing, becomes a log again; whole
entries after that cannot follow on, so they go to a file of their own, to be read.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from assistant.errors import InputError
from assistant.logbook.chain import Chain, Fault
from assistant.logbook.clips import FOLDER_NAME, clip_path, write_whole
from assistant.logbook.database import FILE_NAME, Database
from assistant.logbook.entry import Entry
from assistant.logbook.standing import Keeper
from assistant.logbook.troubles import explained

REST_NAME = "rest.jsonl"
LIST_NAME = "not_whole.txt"
_MOST_MISSING = 5000
"""So many numbers in a row without an entry: there are no more."""
Row = tuple[str, int, str, str, bytes]


@dataclass(frozen=True, slots=True)
class Salvaged:
    """Entries that are a log again, whole entries beside it, clips saved, and what is not whole."""

    in_chain: int
    beside: int
    clips: int
    lost: tuple[str, ...]


def salvage(source: Path, target: Path) -> Salvaged:
    """Save what can be read in the log's folder ``source`` into the new folder ``target``.

    Raises ``InputError`` where there is no log, or where ``target`` holds one already.
    """
    if not (source / FILE_NAME).is_file():
        raise InputError(f"there is no log in {source}: name the folder of the damaged one")
    if (target / FILE_NAME).exists():
        raise InputError(f"there is a log in {target} already: name an empty folder, nothing is overwritten")
    lost: list[str] = []
    whole: list[tuple[Row, Entry]] = []
    for row in _readable(source / FILE_NAME, lost):
        found = Chain(row[1] - 1, row[2]).follow(row[1], row[2], row[3], row[4])
        if isinstance(found, Fault):
            lost.append(f"entry {row[1]}: {found.text}")
        else:
            whole.append((row, found))
    chain = _beginning(whole)
    _write_log(target, whole[:chain])
    clips = sum(_save_clip(source, target, entry, lost) for _, entry in whole)
    with explained(target):
        lines = [row[4][:-1] + b',"hash":"' + row[3].encode() + b'"}\n' for row, _ in whole[chain:]]
        if lines:
            write_whole(target / REST_NAME, b"".join(lines))
        write_whole(target / LIST_NAME, "".join(f"{line}\n" for line in lost).encode())
    return Salvaged(chain, len(whole) - chain, clips, tuple(lost))


def _readable(path: Path, lost: list[str]) -> Iterator[Row]:
    """Go through the entries by number; one that cannot be read does not stop the next."""
    with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as raw:
        number = 0
        missing: list[int] = []
        while len(missing) < _MOST_MISSING:
            number += 1
            try:
                rows = raw.execute(
                    "SELECT site, id, previous_hash, hash, body FROM entries WHERE id = ?", [number]
                ).fetchall()
            except sqlite3.DatabaseError:
                rows = []
            if not rows:
                missing.append(number)
                continue
            lost += [_missing(each) for each in missing]
            missing = []
            yield rows[0]
        last = _last_known(raw)
        lost += [_missing(each) for each in missing if each <= last]


def _missing(number: int) -> str:
    return f"entry {number}: it cannot be read, or is not there"


def _last_known(raw: sqlite3.Connection) -> int:
    """Return the last number that the derived table knows, 0 where that cannot be read either."""
    try:
        (number,) = raw.execute("SELECT max(id) FROM standing").fetchone()
    except sqlite3.DatabaseError:
        return 0
    return int(number or 0)


def _beginning(whole: list[tuple[Row, Entry]]) -> int:
    """Return how many of the entries follow each other from the first on."""
    chain = Chain()
    for count, (row, _) in enumerate(whole):
        if not count and row[1] > 1:
            return 0
        if isinstance(chain.follow(row[1], row[2], row[3], row[4]), Fault):
            return count
    return len(whole)


def _write_log(target: Path, entries: list[tuple[Row, Entry]]) -> None:
    database = Database(target / FILE_NAME, writable=True)
    try:
        with database.atomic():
            keeper = Keeper(database, entries[0][0][0] if entries else "")
            database.put_entries([row for row, _ in entries])
            for _, entry in entries:
                keeper.add(entry)
            keeper.flush()
    finally:
        database.close()


def _save_clip(source: Path, target: Path, entry: Entry, lost: list[str]) -> bool:
    if entry.clip is None:
        return False
    try:
        path = clip_path(source / FOLDER_NAME, entry.clip)
        sound = path.read_bytes()
    except (InputError, OSError):
        lost.append(f"clip of entry {entry.id}: it is not there, or cannot be read: {entry.clip.path}")
        return False
    if hashlib.sha256(sound).hexdigest() != entry.clip.sha256:
        lost.append(f"clip of entry {entry.id}: it was damaged or changed: {entry.clip.path}")
        return False
    with explained(target):
        write_whole(clip_path(target / FOLDER_NAME, entry.clip), sound)
    return True
