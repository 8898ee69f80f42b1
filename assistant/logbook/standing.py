"""Keeps the table of how each entry stands now, in step with the entries, on either database.

Everything here can be made again from the entries; nothing here is part of the record.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import astuple, dataclass, fields
from typing import Any, Protocol

from assistant.logbook.canonical import decode
from assistant.logbook.entry import Entry
from assistant.logbook.settle import AMENDING, Settled, moment, settle, void


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

    ``at`` is the UTC time an entry speaks of, ``entered`` the one it was made at, empty where suspect.
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

    def values(self) -> tuple[object, ...]:
        """Return the row as the database takes it."""
        return astuple(self)


COLUMNS = tuple(each.name for each in fields(Standing))


def fresh(site: str, entry: Entry, refers_to: int | None) -> Standing:
    """Return the row of an entry that nothing has changed yet; ``refers_to`` is the original meant."""
    day, at = moment(entry)
    root = refers_to if entry.kind in AMENDING and refers_to is not None else entry.id
    return Standing(
        site, entry.id, root, entry.kind, day, at, "" if entry.clock_suspect else entry.at_utc, entry.subject,
        entry.place, entry.item, entry.measured, entry.person, entry.verdict or "", refers_to,
        open=int(entry.kind == "action_opened"),
    )  # fmt: skip


class Keeper:
    """Adds entries of one site to the table and works out what each changes."""

    def __init__(self, database: Rows, site: str) -> None:
        """Work inside the caller's transaction."""
        self._database = database
        self._site = site
        self._waiting: list[Standing] = []
        self._open: set[tuple[str, str]] | None = None

    def add(self, entry: Entry) -> None:
        """Take up ``entry`` (entries come in order); ``flush`` writes what is still waiting."""
        row = fresh(self._site, entry, self._root(entry.refers_to))
        self._waiting.append(row)
        if entry.kind in AMENDING:
            self.flush()
            self._amend(row.root)
            return
        key = (entry.subject, entry.measured)
        if entry.kind == "action_opened":
            self._opened().add(key)
            self._recheck(entry.id)
        elif entry.kind == "action_closed":
            self._recheck(row.refers_to)
        elif entry.kind == "reading" and entry.verdict == "pass" and key in self._opened():
            self.flush()
            for (number,) in self._query(
                "SELECT id FROM standing WHERE open = 1"
                " AND site = ? AND subject = ? AND measured = ? AND id < ?",
                *key, entry.id,
            ):  # fmt: skip
                self._recheck(number)
            self._opened().discard(key)

    def flush(self) -> None:
        """Write the rows that wait."""
        if self._waiting:
            self._database.put(self._waiting)
            self._waiting = []

    def _query(self, sql: str, *parameters: object) -> list[tuple[Any, ...]]:
        return self._database.rows(sql, (self._site, *parameters))

    def _opened(self) -> set[tuple[str, str]]:
        """What has an open action, looked up once a transaction."""
        if self._open is None:
            self._open = set(
                self._query("SELECT DISTINCT subject, measured FROM standing WHERE open = 1 AND site = ?")
            )
        return self._open

    def _root(self, number: int | None) -> int | None:
        """Return the original behind entry ``number``: itself, unless that one only amends another."""
        if number is None:
            return None
        self.flush()
        found = self._query("SELECT root FROM standing WHERE site = ? AND id = ?", number)
        return int(found[0][0]) if found else number

    def _family(self, root: int) -> tuple[Entry | None, list[Entry]]:
        rows = self._query(
            "SELECT id, body, hash FROM entries WHERE site = ? AND (id = ? OR id IN"
            " (SELECT id FROM standing WHERE site = ? AND root = ? AND root <> id)) ORDER BY id",
            root, self._site, root,
        )  # fmt: skip
        entries = [decode(bytes(body), str(entry_hash)) for _, body, entry_hash in rows]
        original = entries.pop(0) if entries and entries[0].id == root else None
        return original, entries

    def _settled(self, number: int) -> Settled | None:
        original, amendments = self._family(number)
        return None if original is None else settle(original, amendments)

    def _amend(self, root: int) -> None:
        original, amendments = self._family(root)
        if original is None:  # removed by the retention rule: nothing left to change
            return
        settled = settle(original, amendments)
        before = self._query("SELECT subject, measured FROM standing WHERE site = ? AND id = ?", root)[0]
        row = fresh(self._site, settled.now, None)
        self._change(
            root, day=row.day, at=row.at, subject=row.subject, place=row.place, item=row.item,
            measured=row.measured, person=row.person, verdict=row.verdict, amended=1,
            withdrawn=int(settled.withdrawn),
        )  # fmt: skip
        gone = void(amendments)
        for entry in amendments:
            self._change(entry.id, withdrawn=int(entry.id in gone))
        self._recheck_touched(original, {tuple(before), (row.subject, row.measured)})

    def _recheck_touched(self, original: Entry, keys: set[tuple[Any, ...]]) -> None:
        """Look again at each action that the changed entry may have opened or closed."""
        number = (original.id,)
        looked_up = [("refers_to = ? AND kind = 'action_opened'", number), ("closed_by = ?", number)]
        looked_up += [("open = 1 AND subject = ? AND measured = ?", key) for key in keys]
        touched = {original.id}
        for where, parameters in looked_up:
            query = f"SELECT id FROM standing WHERE site = ? AND {where}"
            touched |= {row[0] for row in self._query(query, *parameters)}
        if original.kind == "action_closed":
            touched.add(self._root(original.refers_to) or original.id)
        for action in sorted(touched):
            self._recheck(action)

    def _recheck(self, number: int | None) -> None:
        """Work out whether action ``number`` is open and, if not, which entry closed it."""
        self.flush()
        self._open = None
        settled = None if number is None else self._settled(number)
        if settled is None or settled.now.kind != "action_opened":
            return
        closed_by = settled.amended_by if settled.withdrawn else self._closer(settled.now)
        self._change(settled.now.id, open=int(closed_by is None), closed_by=closed_by)

    def _closer(self, action: Entry) -> int | None:
        opened_for = self._root(action.refers_to)
        cause = self._settled(opened_for) if opened_for else None
        if cause and cause.amended_by and (cause.withdrawn or cause.now.verdict == "pass"):
            return cause.amended_by
        (rechecked,) = self._query(
            "SELECT min(id) FROM standing WHERE kind = 'reading' AND site = ? AND subject = ?"
            " AND measured = ?"
            " AND id > ? AND verdict = 'pass' AND withdrawn = 0",
            action.subject, action.measured, action.id,
        )[0]  # fmt: skip
        (signed,) = self._query(
            "SELECT min(id) FROM standing WHERE kind = 'action_closed' AND site = ? AND refers_to = ?"
            " AND withdrawn = 0",
            action.id,
        )[0]  # fmt: skip
        return min((int(each) for each in (rechecked, signed) if each is not None), default=None)

    def _change(self, number: int, **columns: object) -> None:
        names = ", ".join(f"{name} = ?" for name in columns)
        self._database.rows(
            f"UPDATE standing SET {names} WHERE site = ? AND id = ?", (*columns.values(), self._site, number)
        )
