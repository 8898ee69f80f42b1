"""Beginning the log afresh: the one so far is kept whole in a folder beside it, and the new one says so.

For readings that were only tried out. Nothing is changed in the old log, and the new one's first entry names
how long it was and the hash of its last entry, so that no record disappears unseen.
"""

from __future__ import annotations

import os
from itertools import chain, count
from pathlib import Path

from assistant.errors import InputError
from assistant.logbook.care import load_care
from assistant.logbook.clips import FOLDER_NAME, flush_folder, make_folder
from assistant.logbook.clock import Clock
from assistant.logbook.database import FILE_NAME, Database
from assistant.logbook.entry import Draft, Entry
from assistant.logbook.sending import SENT_NAME
from assistant.logbook.store import Logbook, open_views
from assistant.logbook.troubles import explained
from assistant.logbook.views import Head


def set_aside(folder: Path, site: str, clock: Clock) -> tuple[Path, Entry]:
    """Move log and clips of ``folder`` into a new folder there, begin another log, and return both.

    No program may have the log open. Raises ``InputError`` for a log that is kept elsewhere as well: that is
    a record in use.
    """
    if load_care(folder).places() or (folder / SENT_NAME).exists():
        raise InputError(
            "this log is backed up or sent, or its heads are noted elsewhere: it is a record in use and stays"
            " where it is; for another log name another folder with --state"
        )
    Database(
        folder / FILE_NAME, writable=True
    ).close()  # a program that was killed may have left work to undo
    kept = _new_folder(folder / f"set aside {clock.now():%Y-%m-%d %H.%M.%S}")
    with explained(folder):
        head, left = last_of(folder), still_open(folder)
        make_folder(kept)
        for name in (FOLDER_NAME, FILE_NAME):  # the log last: until then it is still the one in force
            if (folder / name).exists():
                os.replace(folder / name, kept / name)
        flush_folder(folder)
    note = (
        f"begun afresh: the log before has {head.count} entries up to {head.hash[:16]}, kept in '{kept.name}'"
    )
    note += f"; still open there: {', '.join(left)}" if left else ""
    with Logbook.open(folder, site=site, clock=clock) as log:
        return kept, log.append(Draft(kind="note", subject="log", note=note))[0]


def _new_folder(wanted: Path) -> Path:
    """Return ``wanted``, or with a number behind it where a log set aside earlier has that name."""
    names = (wanted.with_name(f"{wanted.name} ({number})") for number in count(2))
    return next(path for path in chain((wanted,), names) if not path.exists())


def last_of(folder: Path) -> Head:
    """Return the head of the log in ``folder``; raises ``InputError`` where none can be read."""
    with open_views(folder) as views:
        return views.head()


def still_open(folder: Path) -> tuple[str, ...]:
    """Return what failed in the log of ``folder`` and is not put right, each named once."""
    with open_views(folder) as views:
        return tuple(dict.fromkeys(line.entry.subject for line in views.open_actions()))
