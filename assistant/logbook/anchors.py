"""Heads noted outside the log, one a line: ``count:hash``, then anything after ``#``."""

from __future__ import annotations

import os
from datetime import datetime
from pathlib import Path

from assistant.errors import InputError
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


def add_anchor(path: Path, head: Head, when: datetime, note: str = "") -> None:
    """Add a head to a file, on the disk when this returns. Keep the file away from the log itself."""
    with explained(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("a", encoding="utf-8") as file:
            file.write(
                f"{head}  # {when.isoformat(timespec='seconds')} {' '.join(note.split())}".rstrip() + "\n"
            )
            file.flush()
            os.fsync(file.fileno())
