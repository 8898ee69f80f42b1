"""The log as it stands now, for the voice, the page and the report: the same over either database."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from types import TracebackType
from typing import Any, Protocol, Self

from pydantic import ValidationError

from assistant.errors import DamagedLogError, InputError
from assistant.logbook.canonical import FIRST_HASH, decode
from assistant.logbook.clock import utc_text
from assistant.logbook.entry import Entry
from assistant.logbook.query import NO_INDEX, Cursor, Filter
from assistant.logbook.settle import settle

SHORT_DIGITS = 16
_CHUNK = 1000
_COLUMNS = "s.site, s.id, s.day, s.amended, s.withdrawn, s.open, s.closed_by, e.body, e.hash"
_JOINED = "FROM standing s JOIN entries e ON e.site = s.site AND e.id = s.id"


class Source(Protocol):
    """A database that can be read; ``?`` marks a parameter on every one."""

    def rows(self, sql: str, parameters: Sequence[object] = ()) -> list[tuple[Any, ...]]:
        """Run a query and return all its rows."""
        ...

    def close(self) -> None:
        """Let go of the database."""
        ...


@dataclass(frozen=True, slots=True)
class Line:
    """One entry as first logged (``entry``) and as it stands (``now``), with what changed it.

    ``open`` is true for a corrective action that nothing has closed; ``closed_by`` names what did.
    """

    entry: Entry
    now: Entry
    day: str
    site: str
    withdrawn: bool = False
    open: bool = False
    closed_by: int | None = None
    amendments: tuple[Entry, ...] = ()


@dataclass(frozen=True, slots=True)
class Page:
    """Some lines, and where the next page begins (``None`` at the end)."""

    lines: tuple[Line, ...]
    next: Cursor | None


@dataclass(frozen=True, slots=True)
class Head:
    """How many entries the log has had, and the hash of the last: what is anchored outside."""

    count: int
    hash: str

    def __str__(self) -> str:
        """Return count and hash as printed on reports: ``1204:9f2c...``."""
        return f"{self.count}:{self.hash}"

    @property
    def short(self) -> str:
        """Return what stands at the foot of a page: the count and the beginning of the hash."""
        return f"{self.count}:{self.hash[:SHORT_DIGITS]}…"

    @classmethod
    def parse(cls, text: str) -> Head:
        """Return the head that ``str`` or ``short`` wrote; raises ``InputError`` for anything else.

        A shortened hash stays short: ``fits`` holds it against a whole one.
        """
        number, _, value = text.strip().partition(":")
        value = "".join(value.lower().split()).rstrip("….")
        digits = 8 <= len(value) <= 64 and not set(value) - set("0123456789abcdef")
        if not number.strip().isdecimal() or not digits:
            raise InputError(
                f"'{text.strip()[:100]}' is no chain head: write the count, a colon and the hash, all 64 hex"
                " digits or the first 8 at least"
            )
        return cls(int(number), value)

    def fits(self, stored_hash: str) -> bool:
        """Whether a stored hash is the one noted, as far as it was noted."""
        return stored_hash.startswith(self.hash)


@dataclass(frozen=True, slots=True)
class DaySummary:
    """One day: first what failed, was not judged or taken, or is still open (from any day), then the numbers.

    The lists may be cut short; ``failures``, ``doubts``, ``blanks`` and ``open_in_all`` count all of them.
    """

    day: date
    failed: tuple[Line, ...]
    unjudged: tuple[Line, ...]
    not_taken: tuple[Line, ...]
    open: tuple[Line, ...]
    readings: int
    passed: int
    entries: int
    reviewed_by: tuple[str, ...]
    failures: int
    doubts: int
    blanks: int
    open_in_all: int


class Views:
    """Read queries. All are answered from indexes; long lists come in pages."""

    def __init__(self, source: Source, site: str = "") -> None:
        """Read ``source``; with ``site`` given, only that kitchen's entries."""
        self._source = source
        self._site = site

    def __enter__(self) -> Self:
        """Return the views themselves."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Let go of the database."""
        self.close()

    def close(self) -> None:
        """Let go of the database."""
        self._source.close()

    def lines(
        self,
        wanted: Filter | None = None,
        *,
        limit: int = 100,
        after: Cursor | None = None,
        newest_first: bool = False,
    ) -> Page:
        """Return up to ``limit`` lines by day and entry number, from ``after`` on."""
        where, parameters = self._condition(wanted)
        sign, order = ("<", "DESC") if newest_first else (">", "ASC")
        if after:
            where += f" AND (s.day, s.site, s.id) {sign} (?, ?, ?)"
            parameters += [after.day, after.site, after.id]
        rows = self._source.rows(
            f"SELECT {_COLUMNS} {_JOINED} WHERE {where}"
            f" ORDER BY s.day {order}, s.site {order}, s.id {order} LIMIT ?",
            [*parameters, limit + 1],
        )
        last = rows[limit - 1] if len(rows) > limit else None
        return Page(
            tuple(self._line(row) for row in rows[:limit]),
            Cursor(str(last[2]), int(last[1]), str(last[0])) if last else None,
        )

    def each(self, wanted: Filter | None = None) -> Iterator[Line]:
        """Go through all lines, page by page, without holding up a writer."""
        page = self.lines(wanted, limit=_CHUNK)
        yield from page.lines
        while page.next:
            page = self.lines(wanted, limit=_CHUNK, after=page.next)
            yield from page.lines

    def line(self, number: int, site: str = "") -> Line | None:
        """Return the line of one entry, or ``None``."""
        where, parameters = self._condition(Filter(site=site, amendments=True))
        query = f"SELECT {_COLUMNS} {_JOINED} WHERE {where} AND s.id = ?"
        rows = self._source.rows(query, [*parameters, number])
        return self._line(rows[0]) if rows else None

    def latest(self, wanted: Filter) -> Line | None:
        """Return the newest line of the filter, or ``None``: "what did the walk-in read last"."""
        lines = self.lines(wanted, limit=1, newest_first=True).lines
        return lines[0] if lines else None

    def count(self, wanted: Filter | None = None) -> int:
        """Return how many lines the filter has."""
        where, parameters = self._condition(wanted)
        return int(self._source.rows(f"SELECT count(*) FROM standing s WHERE {where}", parameters)[0][0])

    def tally(self, wanted: Filter, *columns: str) -> dict[tuple[str, ...], int]:
        """Return how many lines of a filter there are for each different value of some columns."""
        if set(columns) - {"site", "day", "subject", "kind", "person"}:
            raise InputError("the log is counted by site, day, subject, kind or person")
        where, parameters = self._condition(wanted)
        few = NO_INDEX if wanted.open else "{}"
        names = ", ".join(few.format(f"s.{column}") for column in columns)
        rows = self._source.rows(
            f"SELECT {names}, count(*) FROM standing s WHERE {where} GROUP BY {names}", parameters
        )
        return {tuple(str(each) for each in row[:-1]): int(row[-1]) for row in rows}

    def open_actions(self, *, limit: int | None = None) -> tuple[Line, ...]:
        """Return the corrective actions that nothing has closed, the oldest first; all without ``limit``."""
        wanted = Filter(open=True)
        return tuple(self.each(wanted)) if limit is None else self.lines(wanted, limit=limit).lines

    def made_until(self, moment: datetime) -> int:
        """Return the number of the last entry made until a moment, by a clock not in doubt; 0 for none."""
        where, parameters = self._condition(Filter(amendments=True))
        rows = self._source.rows(
            f"SELECT s.id FROM standing s WHERE {where} AND s.entered <> '' AND s.entered <= ?"
            " ORDER BY s.entered DESC LIMIT 1",
            [*parameters, utc_text(moment)],
        )
        return int(rows[0][0]) if rows else 0

    def day(self, day: date, *, limit: int = 200) -> DaySummary:
        """Return the summary of one local day; each list holds at most ``limit`` lines."""
        wanted = Filter.on(day)
        readings = replace(wanted, kinds=("reading",), standing_only=True)
        where, parameters = self._condition(readings)
        passed = self._source.rows(
            f"SELECT count(*) FROM standing s WHERE {where} AND s.verdict = 'pass'", parameters
        )
        reviews = self.lines(replace(wanted, kinds=("review",), standing_only=True), limit=limit).lines
        failed, unjudged = replace(wanted, failed=True), replace(wanted, unjudged=True)
        blanks = replace(wanted, kinds=("not_taken",), standing_only=True)
        return DaySummary(
            day,
            failed=self.lines(failed, limit=limit).lines,
            unjudged=self.lines(unjudged, limit=limit).lines,
            not_taken=self.lines(blanks, limit=limit).lines,
            open=self.open_actions(limit=limit),
            readings=self.count(readings),
            passed=int(passed[0][0]),
            entries=self.count(replace(wanted, amendments=True)),
            reviewed_by=tuple(dict.fromkeys(line.now.person for line in reviews)),
            failures=self.count(failed),
            doubts=self.count(unjudged),
            blanks=self.count(blanks),
            open_in_all=self.count(Filter(open=True)),
        )

    def first_day(self, site: str = "") -> date | None:
        """Return the first local day that the log holds anything of, or ``None``."""
        lines = self.lines(Filter(amendments=True, site=site), limit=1).lines
        return date.fromisoformat(lines[0].day) if lines else None

    def values_of(self, column: str) -> tuple[str, ...]:
        """Return the different values of ``subject``, ``person`` or ``kind``, for the choices of a filter."""
        if column not in ("subject", "person", "kind", "day", "item"):
            raise InputError(f"the log cannot list every '{column}': subject, item, person, kind or day")
        rows = self._source.rows(
            f"WITH RECURSIVE found(x) AS (SELECT min({column}) FROM standing UNION ALL"
            f" SELECT (SELECT min({column}) FROM standing WHERE {column} > found.x) FROM found"
            " WHERE found.x IS NOT NULL) SELECT x FROM found WHERE x <> ''"
        )
        return tuple(str(row[0]) for row in rows)

    def entries(self, first: int = 1, last: int | None = None, *, site: str = "") -> Iterator[Entry]:
        """Go through the entries as stored, in the chain's order; ``site`` where there are several."""
        return (_read(body, entry_hash) for body, entry_hash in self.stored(last, first=first, site=site))

    def stored(
        self, last: int | None = None, *, first: int = 1, site: str = ""
    ) -> Iterator[tuple[bytes, str]]:
        """Go through the exact bytes and hashes of the entries, in the chain's order."""
        site = site or self._site
        and_site, parameters = (" AND site = ?", [site]) if site else ("", [])
        while last is None or first <= last:
            rows = self._source.rows(
                f"SELECT id, body, hash FROM entries WHERE id >= ?{and_site} ORDER BY id LIMIT ?",
                [first, *parameters, _CHUNK if last is None else min(_CHUNK, last - first + 1)],
            )
            for number, body, entry_hash in rows:
                if last is None or number <= last:
                    yield bytes(body), str(entry_hash)
            if not rows:
                return
            first = int(rows[-1][0]) + 1

    def head(self, site: str = "") -> Head:
        """Return the count and hash of the last entry; an empty log has 0 and zeros."""
        site = site or self._site
        where, parameters = (" WHERE site = ?", [site]) if site else ("", [])
        rows = self._source.rows(f"SELECT id, hash FROM entries{where} ORDER BY id DESC LIMIT 1", parameters)
        return Head(int(rows[0][0]), str(rows[0][1])) if rows else Head(0, FIRST_HASH)

    def _condition(self, wanted: Filter | None) -> tuple[str, list[object]]:
        wanted = wanted or Filter()
        return (replace(wanted, site=self._site) if self._site and not wanted.site else wanted).condition()

    def _line(self, row: tuple[Any, ...]) -> Line:
        site, number, day, amended, withdrawn, is_open, closed_by, body, entry_hash = row
        entry = _read(body, entry_hash)
        amendments = self._amendments(site, number) if amended else ()
        now = settle(entry, amendments).now if amendments else entry
        return Line(entry, now, day, site, bool(withdrawn), bool(is_open), closed_by, amendments)

    def _amendments(self, site: str, number: int) -> tuple[Entry, ...]:
        rows = self._source.rows(
            f"SELECT e.body, e.hash {_JOINED}"
            " WHERE s.site = ? AND s.root = ? AND s.root <> s.id ORDER BY s.id",
            [site, number],
        )
        return tuple(_read(body, entry_hash) for body, entry_hash in rows)


def _read(body: bytes, entry_hash: str) -> Entry:
    """Return the stored entry; raises ``DamagedLogError`` for bytes that somebody made unreadable."""
    try:
        return decode(bytes(body), str(entry_hash))
    except (ValidationError, UnicodeEncodeError):
        raise DamagedLogError(
            "an entry of this log was altered and cannot be read: keep a copy of the log's folder as it is,"
            " and see which one with 'kitchen log verify'"
        ) from None
