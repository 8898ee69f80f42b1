"""Where the page reads and writes: the log on this machine, or the office's database (reading only)."""

from __future__ import annotations

import os
import shutil
from collections.abc import Hashable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Protocol

from assistant.errors import InputError, KitchenError, in_words
from assistant.logbook.care import load_care
from assistant.logbook.clips import FOLDER_NAME, clip_path
from assistant.logbook.clock import Clock
from assistant.logbook.database import FILE_NAME, Database
from assistant.logbook.entry import Clip, Draft, Entry
from assistant.logbook.facts import last_facts, site_of
from assistant.logbook.store import Logbook, open_views
from assistant.logbook.verify import Report, verify, verify_source
from assistant.logbook.views import Head, Line, Views
from assistant.site import Site

LEAST_FREE_BYTES = 50_000_000


@dataclass(frozen=True, slots=True)
class Kitchen:
    """One kitchen's log as the office has it: how far it arrived, and when."""

    name: str
    head: Head
    received_at: datetime | None = None


class Desk(Protocol):
    """What the page needs of a log."""

    site: Site
    clock: Clock
    office: bool

    def views(self, kitchen: str = "") -> AbstractContextManager[Views]:
        """Open the read queries, over one kitchen or all."""
        ...

    def site_of(self, kitchen: str = "") -> Site:
        """Return a kitchen's places and rounds, as far as they are known here."""
        ...

    def kitchens(self) -> tuple[Kitchen, ...]:
        """Return the kitchens whose logs are here."""
        ...

    def append(self, *drafts: Draft, name: str = "") -> Entry:
        """Log a turn, all or nothing, and return its first entry; raises ``KitchenError`` if it cannot be.

        ``name`` is the kitchen's where it is about to change.
        """
        ...

    def sound(self, line: Line) -> bytes | None:
        """Return the FLAC bytes of the clip that a line names, ``None`` where it is not here (any more)."""
        ...

    def trouble(self) -> str:
        """Say in one sentence what keeps the log from being written; empty when nothing does."""
        ...

    def check(self, kitchen: str = "", *, clips: bool = True) -> Report:
        """Hold a kitchen's entries (and here its recordings) against the chain; raises ``KitchenError``."""
        ...

    def state_of(self, kitchen: str = "") -> Hashable:
        """Return something that differs once the log may have changed since it was last checked."""
        ...


@dataclass
class LocalDesk:
    """The log in a folder of this machine."""

    folder: Path
    site: Site
    clock: Clock
    office: bool = False

    def views(self, kitchen: str = "") -> AbstractContextManager[Views]:
        """Open the log for reading; ``kitchen`` is not looked at: there is only one."""
        return open_views(self.folder)

    def site_of(self, kitchen: str = "") -> Site:
        """Return this kitchen's own."""
        return self.site

    def kitchens(self) -> tuple[Kitchen, ...]:
        """Return this kitchen."""
        with self.views() as views:
            return (Kitchen(self.site.kitchen.name, views.head()),)

    def append(self, *drafts: Draft, name: str = "") -> Entry:
        """Log a turn."""
        with Logbook.open(self.folder, site=name or self.site.kitchen.name, clock=self.clock) as log:
            return log.append(drafts)[0]

    def sound(self, line: Line) -> bytes | None:
        """Return the clip's bytes; only a path that an entry names is ever read."""
        if line.entry.clip is None:
            return None
        path = clip_path(self.folder / FOLDER_NAME, line.entry.clip)
        try:
            return path.read_bytes()
        except FileNotFoundError:
            return None
        except OSError as error:
            raise InputError(f"The recording cannot be read ({in_words(error)}).") from None

    def trouble(self) -> str:
        """Try the write lock and look at the free space, as the next entry will need both."""
        try:
            database = Database(self.folder / FILE_NAME, writable=True)
            try:
                with database.atomic():
                    pass
            finally:
                database.close()
            free = shutil.disk_usage(self.folder).free
        except (KitchenError, OSError) as error:
            return str(error)
        if free < LEAST_FREE_BYTES:
            return f"only {free // 1_000_000} MB are left on the disk of the log: free some space"
        return "" if os.access(self.folder, os.W_OK) else f"the folder {self.folder} is read-only"

    def check(self, kitchen: str = "", *, clips: bool = True) -> Report:
        """Check the log of this machine; ``kitchen`` is not looked at."""
        return verify(self.folder, load_care(self.folder).heads(), clips=clips)

    def state_of(self, kitchen: str = "") -> Hashable:
        """Return size, time and place of the file."""
        try:
            now = (self.folder / FILE_NAME).stat()
        except OSError:
            return ()
        return now.st_ino, now.st_size, now.st_mtime_ns


@dataclass
class OfficeDesk:
    """Many kitchens' logs in PostgreSQL. A connection is opened for each page, so a restart does no harm."""

    url: str
    site: Site
    clock: Clock
    office: bool = True

    @contextmanager
    def views(self, kitchen: str = "") -> Iterator[Views]:
        """Open the read queries over one kitchen, or over all."""
        from assistant.logbook.postgres import Office

        with Office.open(self.url) as office:
            if kitchen and not office.knows(kitchen):
                raise InputError(
                    f"The office has no kitchen called '{kitchen[:80]}'; choose one of the list."
                )
            yield office.views(kitchen)

    def site_of(self, kitchen: str = "") -> Site:
        """Return what the kitchen sent along in its chain; else the names of this page's site, no rounds."""
        if not kitchen:
            return self.site
        with self.views(kitchen) as views:
            sent = site_of(last_facts(views, kitchen), kitchen)
        return sent or self.site.model_copy(update={"rounds": ()})

    def kitchens(self) -> tuple[Kitchen, ...]:
        """Return all kitchens by name."""
        from assistant.logbook.postgres import Office

        with Office.open(self.url) as office:
            return tuple(Kitchen(each.site, each.head, each.received_at) for each in office.sites())

    def append(self, *drafts: Draft, name: str = "") -> Entry:
        """Refuse: a kitchen's log is written in the kitchen only."""
        raise InputError("The office only reads: sign off and close actions on the kitchen's own page.")

    def sound(self, line: Line) -> bytes | None:
        """Return the clip's bytes where the kitchen sent them."""
        from assistant.logbook.postgres import Office

        clip: Clip | None = line.entry.clip
        if clip is None:
            return None
        with Office.open(self.url) as office:
            return office.clip(line.site, clip.path)

    def trouble(self) -> str:
        """Nothing is written here."""
        return ""

    def check(self, kitchen: str = "", *, clips: bool = True) -> Report:
        """Check one kitchen's entries as the office has them, up to the head that it noted."""
        from assistant.logbook.postgres import Office

        with Office.open(self.url) as office:
            return verify_source(office, kitchen, [office.head(kitchen)])

    def state_of(self, kitchen: str = "") -> Hashable:
        """Return the quarter of an hour: whoever alters the database leaves no trace outside it."""
        return int(self.clock.now().timestamp() // 900) if kitchen else None
