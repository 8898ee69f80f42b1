"""Keeps the table of how each entry stands now, in step with the entries, on either database.

Everything here can be made again from the entries; nothing here is part of the record.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from operator import attrgetter
from typing import Any, Protocol

from assistant.logbook.canonical import decode
from assistant.logbook.entry import Entry
from assistant.logbook.settle import AMENDING, Settled, moment, settle, void

REHEATED = "reheating"
"""What is measured of food that is brought back to a safe temperature."""
TO_REHEAT = "reheat"
"""How the note of an action begins that a reheating settles."""
FOR_A_SIGN = "reject: "
"""How the note of an action begins that a sign opened: no temperature settles a bag without its tag."""
DELIVERY = "delivery"
"""What is measured of food that arrives: the next one, on another day, is other food."""


class Rows(Protocol):
    """A connection in the middle of a transaction; ``?`` marks a parameter on every database."""

    def rows(self, sql: str, parameters: Sequence[object] = ()) -> list[tuple[Any, ...]]:
        """Run a query and return all its rows."""
        ...

    def put(self, rows: Sequence[Standing]) -> None:
        """Insert rows of ``standing``."""
        ...


@dataclass(slots=True)
class Standing:
    """One row of the table, in its columns' order; 0 or 1 for no or yes.

    ``root`` is the original entry behind an amendment, else the entry itself. ``at`` is the UTC time an
    entry speaks of, ``entered`` the one it was made at, empty where the clock was suspect.
    """

    site: str
    id: int
    root: int
    kind: str
    day: str
    at: str
    entered: str
    subject: str
    place: str
    item: str
    measured: str
    person: str
    verdict: str
    refers_to: int | None
    amended: int = 0
    withdrawn: int = 0
    open: int = 0
    closed_by: int | None = None


COLUMNS = tuple(each.name for each in fields(Standing))
values = attrgetter(*COLUMNS)
"""Returns a row as the database takes it."""
PUT = f"INSERT INTO standing ({', '.join(COLUMNS)}) VALUES ({', '.join('?' for _ in COLUMNS)})"
_UPDATE = f"UPDATE standing SET {', '.join(f'{name} = ?' for name in COLUMNS)} WHERE site = ? AND id = ?"


def fresh(site: str, entry: Entry, refers_to: int | None) -> Standing:
    """Return the row of an entry that nothing has changed yet; ``refers_to`` is the original meant."""
    day, at = moment(entry)
    root = refers_to if entry.kind in AMENDING and refers_to is not None else entry.id
    entered = "" if entry.clock_suspect else entry.at_utc
    return Standing(
        site, entry.id, root, entry.kind, day, at, entered, entry.subject, entry.place, entry.item,
        entry.measured, entry.person, entry.verdict or "", refers_to, open=int(entry.kind == "action_opened"),
    )  # fmt: skip


def _may_close(entry: Entry) -> bool:
    """True for what can settle an open action: a passing reading, or food thrown out."""
    return entry.kind == "discard" or (entry.kind == "reading" and entry.verdict == "pass")


class Keeper:
    """Adds entries of one site to the table and works out what each changes."""

    def __init__(self, database: Rows, site: str, entries: Rows | None = None) -> None:
        """Work inside the caller's transaction. ``entries`` holds the entries, if not ``database`` itself."""
        self._database = database
        self._entries = entries or database
        self._site = site
        self._waiting: list[Standing] = []
        self._lately: dict[int, Standing] = {}
        self._amended: set[int] = set()
        self._open: set[str] | None = None

    def add(self, entry: Entry) -> None:
        """Take up ``entry`` (entries come in order); ``flush`` writes what is still waiting."""
        row = fresh(self._site, entry, self.root(entry.refers_to))
        self._waiting.append(row)
        self._lately[entry.id] = row
        if entry.kind in AMENDING:
            self._amend(row.root)
        elif entry.kind == "action_opened":
            self._open_action(row)
        elif entry.kind == "action_closed":
            self._close("id = ?", row.refers_to, by=entry.id)
        elif _may_close(entry) and entry.subject in self._opened():
            self._refresh(self._find("open = 1 AND subject = ?", entry.subject))

    def flush(self) -> None:
        """Write the rows that wait."""
        if self._waiting:
            self._database.put(self._waiting)
            self._waiting = []

    def root(self, number: int | None) -> int | None:
        """Return the original behind entry ``number``: itself, unless that one only amends another."""
        if number is None:
            return None
        row = self._lately.get(number)
        if row is not None:
            return row.root
        found = self._query("SELECT root FROM standing WHERE site = ? AND id = ?", number)
        return int(found[0][0]) if found else number

    def expected(self, number: int) -> Standing | None:
        """Return the row that entry ``number`` should have, worked out anew; ``None`` for no such entry."""
        self.flush()
        entry = self._entry(number)
        if entry is None:
            return None
        refers_to = self.root(entry.refers_to)
        if entry.kind in AMENDING:
            row = fresh(self._site, entry, refers_to)
            row.withdrawn = int(number in void(self._amendments(row.root)))
            return row
        settled = settle(entry, self._amendments(number))
        row = fresh(self._site, settled.now, refers_to)
        row.amended, row.withdrawn = int(settled.amended_by is not None), int(settled.withdrawn)
        if entry.kind == "action_opened":
            row.closed_by = settled.amended_by if settled.withdrawn else self._closer(settled.now, refers_to)
            row.open = int(row.closed_by is None)
        return row

    def misread(self, entries: Sequence[Entry]) -> int | None:
        """Return the number of the first of ``entries`` (in order) whose row is not there as it should be."""
        self.flush()
        rows = self._query(
            f"SELECT {', '.join(COLUMNS)} FROM standing WHERE site = ? AND id BETWEEN ? AND ?",
            entries[0].id, entries[-1].id,
        )  # fmt: skip
        kept = {row[1]: tuple(row) for row in rows}
        for entry in entries:
            plain = values(fresh(self._site, entry, self.root(entry.refers_to)))
            if kept.get(entry.id) == plain:
                continue
            expected = self.expected(entry.id)
            if expected is None or kept.get(entry.id) != values(expected):
                return entry.id
        return None

    def _query(self, sql: str, *parameters: object) -> list[tuple[Any, ...]]:
        return self._database.rows(sql, (self._site, *parameters))

    def _open_action(self, row: Standing) -> None:
        """Nothing later can have closed it yet; but what it was opened for may be corrected already."""
        self._opened().add(row.subject)
        cause = row.refers_to
        if cause is None or (cause in self._lately and cause not in self._amended):
            return
        if self._find("id = ? AND amended = 1", cause):
            self._refresh({row.id})

    def _close(self, where: str, *parameters: object, by: int) -> None:
        """Close what is open: ``by`` is the first that does, else it would not be open."""
        self.flush()
        self._database.rows(
            f"UPDATE standing SET open = 0, closed_by = ? WHERE site = ? AND open = 1 AND {where}",
            (by, self._site, *parameters),
        )

    def _find(self, where: str, *parameters: object) -> set[int | None]:
        self.flush()
        return {
            row[0] for row in self._query(f"SELECT id FROM standing WHERE site = ? AND {where}", *parameters)
        }

    def _opened(self) -> set[str]:
        """What has an open action (its subject), looked up once and after changes."""
        if self._open is None:
            self.flush()
            found = self._query("SELECT DISTINCT subject FROM standing WHERE site = ? AND open = 1")
            self._open = {str(row[0]) for row in found}
        return self._open

    def _entry(self, number: int) -> Entry | None:
        rows = self._entries.rows(
            "SELECT body, hash FROM entries WHERE site = ? AND id = ?", (self._site, number)
        )
        return decode(bytes(rows[0][0]), str(rows[0][1])) if rows else None

    def _amendments(self, root: int) -> list[Entry]:
        rows = self._query(
            "SELECT id FROM standing WHERE site = ? AND root = ? AND root <> id ORDER BY id", root
        )
        return [entry for row in rows if (entry := self._entry(row[0]))]

    def _amend(self, root: int) -> None:
        """Bring the changed entry, its amendments and the actions that depend on it up to date."""
        self._amended.add(root)
        key = "SELECT subject FROM standing WHERE site = ? AND id = ?"
        self.flush()
        keys = {*self._query(key, root)}
        self._refresh({root, *self._find("root = ? AND root <> id", root)})
        keys |= {*self._query(key, root)}
        actions = self._find("refers_to = ? AND kind = 'action_opened'", root)
        actions |= self._find("closed_by = ?", root)
        for each in keys:
            actions |= self._find("open = 1 AND subject = ?", *each)
        closes = self._query(
            "SELECT refers_to FROM standing WHERE site = ? AND id = ? AND kind IN ('action_closed', 'event')",
            root,
        )
        self._refresh(actions | {row[0] for row in closes})

    def _refresh(self, numbers: set[int | None]) -> None:
        self.flush()
        for number in sorted(each for each in numbers if each is not None):
            row = self.expected(number)
            if row is not None:
                self._database.rows(_UPDATE, (*values(row), self._site, number))
        self._open = None

    def _closer(self, action: Entry, opened_for: int | None) -> int | None:
        """Return the entry that closes ``action``: the first of what may.

        That is a correction of its cause, a passing recheck of the same thing, the discard of that food, or
        a signature.
        """
        cause = self._settled(opened_for) if opened_for else None
        if cause and cause.amended_by and (cause.withdrawn or cause.now.verdict == "pass"):
            return cause.amended_by
        found = (*self._rechecks(action, cause), *self._discards(action, cause), *self._signatures(action))
        return min(found, default=None)

    def _rechecks(self, action: Entry, cause: Settled | None) -> list[int]:
        """Return the passing readings of the same thing: the same batch, not before, where it was or went.

        Where it went is the place of what was done about it ("moved it to the reach-in"), from then on. Food
        that was to be reheated is rechecked by a reheating that passed.
        """
        if action.note.startswith(FOR_A_SIGN):
            return []
        batch = self._batch(cause)
        opened_on, at = moment(cause.now if cause else action)
        rows = self._query(
            "SELECT id, measured, place, refers_to, day FROM standing WHERE site = ? AND kind = 'reading'"
            " AND subject = ? AND id > ? AND at >= ? AND verdict = 'pass' AND withdrawn = 0",
            action.subject, action.id, at,
        )  # fmt: skip
        home = cause.now.place if cause else ""
        moved = self._query(
            "SELECT id, place FROM standing WHERE site = ? AND kind = 'event' AND refers_to = ?"
            " AND place <> '' AND withdrawn = 0",
            action.id,
        )
        found = []
        for number, measured, place, of, day in rows:
            reheated = measured == REHEATED and action.note.startswith(TO_REHEAT)
            here = home in ("", place) or any(place == there and number > deed for deed, there in moved)
            other_food = measured == DELIVERY and day != opened_on
            if reheated or (measured == action.measured and here and of == batch and not other_food):
                found.append(int(number))
        return found

    def _discards(self, action: Entry, cause: Settled | None) -> list[int]:
        """Return the discards of the food, of this batch where they name one; a place is not thrown out."""
        if not (action.item or (cause and cause.now.item)):
            return []
        rows = self._query(
            "SELECT id, refers_to FROM standing WHERE site = ? AND kind = 'discard' AND subject = ?"
            " AND id > ? AND withdrawn = 0",
            action.subject, action.id,
        )  # fmt: skip
        return [int(n) for n, of in rows if of in (None, action.id) or self._named(of) == self._batch(cause)]

    def _signatures(self, action: Entry) -> list[int]:
        rows = self._query(
            "SELECT id FROM standing WHERE kind = 'action_closed' AND site = ? AND refers_to = ?"
            " AND withdrawn = 0",
            action.id,
        )  # fmt: skip
        return [int(row[0]) for row in rows]

    def _batch(self, cause: Settled | None) -> int | None:
        """Return the entry that began the batch that a failed reading is of, where it names one."""
        if cause is None or cause.now.kind != "reading":
            return None
        return self.root(cause.now.refers_to)

    def _named(self, number: int) -> int | None:
        """Return the entry that began the batch named: itself, or that of the action or reading named."""
        for _ in range(2):
            named = self._query("SELECT kind, refers_to FROM standing WHERE site = ? AND id = ?", number)
            kind, of = named[0] if named else ("", None)
            if kind not in ("action_opened", "reading") or of is None:
                return None if kind in ("action_opened", "reading") else number
            number = int(of)
        return number

    def _settled(self, number: int) -> Settled | None:
        entry = self._entry(number)
        return settle(entry, self._amendments(number)) if entry else None
