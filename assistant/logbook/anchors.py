"""Heads noted outside the log, one a line: ``count:hash``, then anything after ``#``."""

from __future__ import annotations

import os
from datetime import datetime
from pathlib import Path

from assistant.errors import InputError
from assistant.logbook.clips import OWNER_ONLY, make_folder
from assistant.logbook.troubles import explained
from assistant.logbook.views import Head


def read_anchors(path: Path) -> tuple[Head, ...]:
    """Return the heads in a file; raises ``InputError`` for a missing file or another line."""
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"the file of chain heads {path} cannot be read: {error}") from error
    heads = (line.partition("#")[0].strip() for line in lines)
    return tuple(Head.parse(head) for head in heads if head)


def anchors_from(text: str) -> tuple[Head, ...]:
    """Return the heads that somebody gave: a file of them, or one head as it is printed or spoken."""
    path = Path(text)
    return read_anchors(path) if path.is_file() or ":" not in text else (Head.parse(text),)


def last_noted(path: Path) -> tuple[Head, datetime] | None:
    """Return the last head of a file with the time it was noted at; ``None`` for none with a time."""
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
        head, _, note = next(line for line in reversed(lines) if line.strip()).partition("#")
        return Head.parse(head), datetime.fromisoformat(note.split()[0])
    except (OSError, UnicodeDecodeError, StopIteration, InputError, ValueError, IndexError):
        return None


def add_anchor(path: Path, head: Head, when: datetime, note: str = "") -> None:
    """Add a head to a file, on the disk when this returns. Keep the file away from the log itself."""
    with explained(path):
        make_folder(path.parent)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, OWNER_ONLY)
        with os.fdopen(handle, "a", encoding="utf-8") as file:
            file.write(
                f"{head}  # {when.isoformat(timespec='seconds')} {' '.join(note.split())}".rstrip() + "\n"
            )
            file.flush()
            os.fsync(file.fileno())
