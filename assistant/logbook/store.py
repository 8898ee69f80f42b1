"""The log on this machine: one SQLite file, written to at its end only, and the clips beside it."""

from __future__ import annotations

import time
from collections.abc import Iterable
from contextlib import suppress
from datetime import date, datetime
from pathlib import Path
from types import TracebackType
from typing import Self

import numpy as np
import numpy.typing as npt

from assistant.errors import InputError, KitchenError, LogWriteError
from assistant.logbook import clips
from assistant.logbook.canonical import FIRST_HASH, decode, digest, encode
from assistant.logbook.care import HeadNotes
from assistant.logbook.clock import Clock, SystemClock, Watch, utc_text
from assistant.logbook.database import FILE_NAME, Database
from assistant.logbook.entry import Clip, Draft, Entry
from assistant.logbook.query import Filter
from assistant.logbook.renew import Progress
from assistant.logbook.settle import AMENDING
from assistant.logbook.standing import Keeper, Rows
from assistant.logbook.views import Head, Line, Views


class Logbook:
    """Appends turns to the log. May be shared by threads, and other programs may append meanwhile.

    What ``append`` returned is on the disk. ``views`` reads; ``database`` is for the log's own tools.
    """

    def __init__(self, folder: Path, site: str, clock: Clock, progress: Progress | None = None) -> None:
        """Use ``open``."""
        self.folder = folder
        self.clips_folder = folder / clips.FOLDER_NAME
        self.clock = clock
        self.database = Database(folder / FILE_NAME, writable=True, progress=progress)
        self._watch = Watch(clock)
        self._site = site
        self.views = Views(self.database)
        self._furthest = self.views.head()
        self._notes = HeadNotes(folder)

    @classmethod
    def open(
        cls, folder: Path | str, *, site: str = "kitchen", clock: Clock | None = None,
        progress: Progress | None = None,
    ) -> Self:  # fmt: skip
        """Open the log in ``folder``, making both where they are missing.

        One of an older version has its derived table made anew first; ``progress`` hears how far that is.
        Raises ``LogWriteError`` when the disk or another program is in the way, ``InputError`` when the
        file is damaged, altered, or from a newer version.
        """
        return cls(Path(folder), site, clock or SystemClock(), progress)

    def __enter__(self) -> Self:
        """Return the log itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close the file."""
        self.close()

    def close(self) -> None:
        """Close the file; entries are on the disk already."""
        self.database.close()

    def append(self, drafts: Draft | Iterable[Draft]) -> tuple[Entry, ...]:
        """Log a whole turn: all of it or, with an error, none. Returns the entries of the drafts.

        A clock that jumped adds an entry of its own before them, and so does a log that lost entries while
        this program ran. What was written is read back before this returns. Raises ``LogWriteError`` when
        nothing could be written, ``InputError`` for a draft that names an entry that is not there.
        """
        turn = (drafts,) if isinstance(drafts, Draft) else tuple(drafts)
        if not turn:
            return ()
        part_of_more = self.database.in_transaction
        with self.database.atomic():
            self.database.refuse_other_shape()
            entries = _Turn(self.database, self._watch, self._site, self._furthest).write(turn)
        if not part_of_more:  # else it may still be taken back as a whole
            self._furthest = Head(entries[-1].id, entries[-1].hash)
            self._notes.note(self._furthest, self.clock.now(), time.monotonic())
        return entries

    def keep_clip(self, samples: npt.NDArray[np.int16], rate: int, said: datetime | None = None) -> Clip:
        """Keep mono 16-bit sound (shape ``(n,)``, ``rate`` Hz) as FLAC; put the result in the draft."""
        return clips.save_clip(self.clips_folder, samples, rate, said or self.clock.now())

    def clip_path(self, clip: Clip) -> Path:
        """Return the file of a kept clip."""
        return clips.clip_path(self.clips_folder, clip)

    def today(self) -> date:
        """Return the local day by the log's clock."""
        return self.clock.now().date()

    def lines(self, wanted: Filter | None = None) -> tuple[Line, ...]:
        """Return all lines of a filter that asks for little, such as one day."""
        return tuple(self.views.each(wanted))


class _Turn:
    """One append, inside its transaction: the head is read here, so nobody slips in between."""

    def __init__(self, database: Database, watch: Watch, site: str, furthest: Head) -> None:
        self._database = database
        self._lost = lost(database, furthest)
        rows = database.rows("SELECT site, body, hash FROM entries ORDER BY id DESC LIMIT 1")
        last = decode(rows[0][1], rows[0][2]) if rows else None
        self._chain_site = str(rows[0][0]) if rows else site
        self._next = last.id + 1 if last else 1
        self._hash = last.hash if last else FIRST_HASH
        self._keeper = Keeper(database, self._chain_site)
        (latest,) = database.rows("SELECT max(entered) FROM standing")[0]
        now, suspect, self._jump = watch.read(
            datetime.fromisoformat(last.at_utc) if last else None,
            datetime.fromisoformat(latest) if latest else None,
        )
        self._stamp = {
            "site": site, "at_utc": utc_text(now), "at_local": now.isoformat(timespec="microseconds"),
            "clock_suspect": suspect, "clock_by_hand": getattr(watch.clock, "by_hand", False),
        }  # fmt: skip

    def write(self, turn: tuple[Draft, ...]) -> tuple[Entry, ...]:
        """Insert the turn's rows and return its entries."""
        entries: list[Entry] = []
        if self._lost:
            self._add(Draft(kind="rollback", subject="log", item=str(self._lost), note=lost_text(self._lost)))
        if self._jump:
            self._add(Draft(kind="clock_change", subject="clock", note=self._jump))
        for draft in turn:
            entries.append(self._add(_resolve(draft, entries)))
        self._keeper.flush()
        self._read_back(entries)
        return tuple(entries)

    def _read_back(self, entries: list[Entry]) -> None:
        """Raise ``LogWriteError``, keeping nothing, unless the log gives back what was put in."""
        for entry in entries:
            rows = self._database.rows(
                "SELECT site, previous_hash, hash, body FROM entries WHERE id = ?", [entry.id]
            )
            kept = [(row[0], row[1], row[2], digest(bytes(row[3]))) for row in rows]
            wanted = (self._chain_site, entry.previous_hash, entry.hash, entry.hash)
            if kept != [wanted] or self._keeper.misread([entry]):
                raise LogWriteError(
                    f"the log did not give back entry {entry.id} as it was written, so nothing was kept: run"
                    " 'kitchen log verify'"
                )

    def _add(self, draft: Draft) -> Entry:
        self._check(draft)
        body = encode(draft, id=self._next, previous_hash=self._hash, **self._stamp)
        entry = decode(body, digest(body))
        self._database.put_entries([(self._chain_site, entry.id, self._hash, entry.hash, body)])
        self._keeper.add(entry)
        self._next, self._hash = entry.id + 1, entry.hash
        return entry

    def _check(self, draft: Draft) -> None:
        if draft.said_at is not None:
            _check_time(draft.said_at)
        if draft.refers_to is None:
            if draft.kind in (*AMENDING, "action_closed"):
                raise InputError(f"a {draft.kind} has to name the entry that it is about")
            return
        rows = self._database.rows("SELECT body, hash FROM entries WHERE id = ?", [draft.refers_to])
        if not rows:
            raise InputError(f"there is no entry {draft.refers_to} in the log")
        named = decode(*rows[0])
        if draft.kind == "correction" and named.kind == "withdrawal":
            raise InputError(f"entry {named.id} takes another back: it can be withdrawn, not corrected")
        if draft.kind == "action_closed" and named.kind != "action_opened":
            raise InputError(f"entry {named.id} is no corrective action, so it cannot be closed")


def lost(database: Rows, furthest: Head) -> Head | None:
    """Return ``furthest`` where the log no longer holds the entry that it names, else ``None``."""
    if furthest.count == 0:
        return None
    rows = database.rows("SELECT hash FROM entries WHERE id = ?", [furthest.count])
    return None if rows and rows[0][0] == furthest.hash else furthest


def lost_text(head: Head) -> str:
    """Say that the log went back behind a head."""
    return (
        f"the log was set back: it had {head.count} entries, the last with the hash {head.hash[:16]}, and"
        " that one is no longer in it"
    )


def _resolve(draft: Draft, before: list[Entry]) -> Draft:
    """Turn a reference counted back within the turn into the entry's number."""
    if draft.refers_to is None or draft.refers_to > 0:
        return draft
    if not 0 < -draft.refers_to <= len(before):
        raise InputError(f"the turn has no draft {draft.refers_to} before this one")
    return draft.model_copy(update={"refers_to": before[draft.refers_to].id})


def _check_time(text: str) -> None:
    try:
        aware = datetime.fromisoformat(text).tzinfo is not None
    except ValueError:
        aware = False
    if not aware:
        raise InputError(f"'{text}' is no time with its offset, such as 2026-03-02T09:30:00-05:00")


def open_views(folder: Path | str, *, progress: Progress | None = None) -> Views:
    """Open the log for reading only, as the page does beside a running assistant.

    A log of an older version has its derived table made anew first, where it can be written; ``progress``
    hears how far that is. Raises ``InputError`` where there is no log, or none that can be read.
    """
    path = Path(folder) / FILE_NAME
    database = Database(path, writable=False)
    if database.older():
        database.close()
        with suppress(KitchenError):
            Database(path, writable=True, progress=progress).close()
        database = Database(path, writable=False)
    return Views(database)
