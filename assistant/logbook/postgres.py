"""Many kitchens' logs in one PostgreSQL database: entries arrive checked, the office reads the same views.

Each kitchen keeps its own chain under its name; the chain's head row is locked while entries arrive.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from types import TracebackType
from typing import Any, Self

from assistant.errors import InputError, LogWriteError, MissingError
from assistant.logbook.canonical import FIRST_HASH
from assistant.logbook.chain import Chain, Fault
from assistant.logbook.database import VERSION
from assistant.logbook.entry import Entry
from assistant.logbook.scripts import script
from assistant.logbook.standing import COLUMNS, Keeper, Standing, values
from assistant.logbook.views import Head, Views

try:
    import psycopg
except ImportError:  # an extra: one kitchen needs none
    raise MissingError(
        "the office's database needs the part 'office' of the program, which is not installed: "
        "install kitchen-assistant[office] (from a checkout: uv sync --extra office)"
    ) from None

Stored = tuple[int, str, str, bytes]
"""An entry as it travels: number, previous hash, hash, exact bytes."""
_CREATE_LOCK = 5_201_127
_GUARDS = {"entries_no_change", "entries_no_truncate", "entries_in_order"}


@dataclass(frozen=True, slots=True)
class SiteHead:
    """How far one kitchen's log has arrived, and when."""

    site: str
    head: Head
    received_at: datetime


class Office:
    """A connection to the office's database."""

    def __init__(self, url: str) -> None:
        """Use ``open``."""
        self._url = url
        self._connection = _connect(url)
        self._in_transaction = False

    @classmethod
    def open(cls, url: str) -> Self:
        """Connect by URL (``postgresql://...``), making the tables where they are missing.

        Raises ``InputError`` for a wrong URL, ``LogWriteError`` when the database cannot be reached.
        """
        if not url.startswith(("postgresql://", "postgres://")):
            raise InputError("the office's database is named by a URL that begins with postgresql://")
        with explained():
            office = cls(url)
            try:
                office._prepare()
            except BaseException:
                office.close()
                raise
            return office

    def __enter__(self) -> Self:
        """Return the office itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close the connection."""
        self.close()

    def close(self) -> None:
        """Close the connection."""
        self._connection.close()

    def rows(self, sql: str, parameters: Sequence[object] = ()) -> list[tuple[Any, ...]]:
        """Run one statement (``?`` marks a parameter) and return all its rows.

        A connection that was lost meanwhile (the server was restarted) is made anew, once.
        """
        query = sql.replace("?", "%s").encode()
        with explained():
            try:
                cursor = self._connection.execute(query, tuple(parameters))
            except psycopg.OperationalError:
                if self._in_transaction or not self._connection.closed:
                    raise
                self._connection = _connect(self._url)
                cursor = self._connection.execute(query, tuple(parameters))
            return cursor.fetchall() if cursor.description else []

    def put(self, rows: Sequence[Standing]) -> None:
        """Insert rows of ``standing``."""
        self._copy(f"COPY standing ({', '.join(COLUMNS)}) FROM STDIN", [values(row) for row in rows])

    @contextmanager
    def atomic(self) -> Iterator[None]:
        """One transaction: all of it is kept, or nothing."""
        with explained(), self._connection.transaction():
            self._in_transaction = True
            try:
                yield
            finally:
                self._in_transaction = False

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """Hold one picture of the database for a few queries while others go on writing."""
        with explained(), self._connection.transaction():
            self._in_transaction = True
            try:
                self.rows("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
                yield
            finally:
                self._in_transaction = False

    def views(self, site: str = "") -> Views:
        """Return the read queries, over all kitchens or one."""
        return Views(self, site)

    def sites(self) -> tuple[SiteHead, ...]:
        """Return all kitchens by name with their heads."""
        rows = self.rows("SELECT site, count, hash, received_at FROM heads ORDER BY site")
        return tuple(SiteHead(site, Head(count, stored), when) for site, count, stored, when in rows)

    def head(self, site: str) -> Head:
        """Return how far a kitchen's log has arrived."""
        rows = self.rows("SELECT count, hash FROM heads WHERE site = ?", [site])
        return Head(*rows[0]) if rows else Head(0, FIRST_HASH)

    def receive(self, site: str, entries: Sequence[Stored]) -> Head:
        """Take the next entries of a kitchen, checked against its chain; return the new head.

        Entries that are here already are passed over. Raises ``InputError``, taking none, when one does
        not follow. The database itself checks hash and order once more.
        """
        with self.atomic():
            self.rows("INSERT INTO heads VALUES (?, 0, ?) ON CONFLICT DO NOTHING", [site, FIRST_HASH])
            (count, stored) = self.rows("SELECT count, hash FROM heads WHERE site = ? FOR UPDATE", [site])[0]
            chain = Chain(count, stored)
            new = [entry for entry in entries if entry[0] > count]
            checked = [_checked(chain, site, entry) for entry in new]
            self._copy(
                "COPY entries (site, id, previous_hash, hash, body) FROM STDIN", [(site, *row) for row in new]
            )
            keeper = Keeper(self, site)
            for entry in checked:
                keeper.add(entry)
            keeper.flush()
            self.rows(
                "UPDATE heads SET count = ?, hash = ?, received_at = now() WHERE site = ?",
                [chain.count, chain.hash, site],
            )
        return Head(chain.count, chain.hash)

    def receive_clip(self, site: str, path: str, sound: bytes) -> None:
        """Keep a kitchen's clip; one that is here already stays."""
        self.rows("INSERT INTO clips VALUES (?, ?, ?) ON CONFLICT DO NOTHING", [site, path, sound])

    def clip_paths(self, site: str) -> set[str]:
        """Return which clips of a kitchen have arrived."""
        return {str(row[0]) for row in self.rows("SELECT path FROM clips WHERE site = ?", [site])}

    def clip(self, site: str, path: str) -> bytes | None:
        """Return a clip's FLAC bytes, or ``None`` if it was not sent."""
        rows = self.rows("SELECT sound FROM clips WHERE site = ? AND path = ?", [site, path])
        return bytes(rows[0][0]) if rows else None

    def guards_missing(self) -> tuple[str, ...]:
        """Return the names of triggers that should protect the entries and are not there or are off."""
        rows = self.rows(
            "SELECT tgname FROM pg_trigger WHERE tgrelid = 'entries'::regclass AND tgenabled = 'O'"
        )
        return tuple(sorted(_GUARDS - {str(row[0]) for row in rows}))

    def _copy(self, command: str, rows: Sequence[tuple[object, ...]]) -> None:
        with explained(), self._connection.cursor() as cursor, cursor.copy(command.encode()) as copy:
            for row in rows:
                copy.write_row(row)

    def _prepare(self) -> None:
        with self.atomic():
            self.rows("SELECT pg_advisory_xact_lock(?)", [_CREATE_LOCK])
            if self.rows("SELECT to_regclass('log_version')")[0][0] is None:
                self._connection.execute(script("postgres.sql").encode())
        (version,) = self.rows("SELECT max(version) FROM log_version")[0]
        if version > VERSION:
            raise InputError("the office's database was made by a newer version of this program: update")


def _connect(url: str) -> psycopg.Connection[tuple[Any, ...]]:
    return psycopg.connect(url, autocommit=True, connect_timeout=10)


def _checked(chain: Chain, site: str, stored: Stored) -> Entry:
    found = chain.follow(*stored)
    if isinstance(found, Fault):
        raise InputError(f"the log of {site} was not taken further: {found.text}")
    return found


@contextmanager
def explained() -> Iterator[None]:
    """Raise faults of the database as sentences; no URL and no password in them."""
    try:
        yield
    except psycopg.OperationalError as error:
        raise LogWriteError(
            "the office's database cannot be reached, or refuses the name or password of its URL: nothing is"
            " lost, see that it runs and try again later"
        ) from error
    except psycopg.Error as error:
        text = str(error).strip().splitlines()
        raise InputError(f"the office's database refused this: {text[0] if text else error!r}") from error
