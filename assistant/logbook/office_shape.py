"""Whether the office's database is built as this program builds it: tables, guards, indexes, no helpers.

Read from PostgreSQL's own catalogue, so a role that may only read can do it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any

from assistant.logbook.scripts import script

Rows = Callable[[str, Sequence[object]], list[tuple[Any, ...]]]
TABLES = ("clips", "entries", "heads", "log_version", "standing")
_WHEN = {"BEFORE": 2, "AFTER": 0}
_WHAT = {"INSERT": 4, "DELETE": 8, "UPDATE": 16, "TRUNCATE": 32}
_TRIGGER = (
    r"CREATE TRIGGER (\w+) (BEFORE|AFTER) ([A-Z ]+?) ON (\w+)"
    r".*?FOR EACH (ROW|STATEMENT) EXECUTE FUNCTION (\w+)"
)
_EACH = {"ROW": 1, "STATEMENT": 0}


def office_faults(rows: Rows) -> tuple[str, ...]:
    """Return what of the structure is missing, altered or not ours, each in a few words."""
    text = script("postgres.sql")
    return (*_tables(rows), *_triggers(rows, text), *_functions(rows, text), *_indexes(rows, text))


def _tables(rows: Rows) -> list[str]:
    found: dict[Any, Any] = {
        row[0]: row[1:]
        for row in rows(
            "SELECT relname, relkind::text, relrowsecurity,"
            " (SELECT count(*) FROM pg_rewrite w WHERE w.ev_class = c.oid)"
            " FROM pg_class c WHERE oid = ANY (SELECT to_regclass(name) FROM unnest(?::text[]) name)",
            [list(TABLES)],
        )
    }
    wrong = [f"table {name} is missing" for name in TABLES if name not in found]
    return wrong + [
        f"table {name} was altered" for name in TABLES if found.get(name, ("r", False, 0)) != ("r", False, 0)
    ]


def _triggers(rows: Rows, text: str) -> list[str]:
    shipped = {}
    for name, when, what, table, each, function in re.findall(_TRIGGER, text, re.DOTALL):
        kind = _WHEN[when] + _EACH[each] + sum(_WHAT[word] for word in what.split(" OR "))
        shipped[table, name] = (kind, function, "O", False)
    found: dict[Any, Any] = {
        (row[0], row[1]): tuple(row[2:])
        for row in rows(
            "SELECT t.tgrelid::regclass::text, t.tgname::text, t.tgtype::int, p.proname::text,"
            " t.tgenabled::text, t.tgqual IS NOT NULL FROM pg_trigger t"
            " JOIN pg_proc p ON p.oid = t.tgfoid WHERE NOT t.tgisinternal"
            " AND t.tgrelid = ANY (SELECT to_regclass(name) FROM unnest(?::text[]) name)",
            [list(TABLES)],
        )
    }
    wrong = [f"trigger {name} is missing" for table, name in shipped if (table, name) not in found]
    wrong += [
        f"trigger {name} was altered or is off"
        for (table, name), each in shipped.items()
        if found.get((table, name), each) != each
    ]
    return wrong + [
        f"trigger {name} on {table} is not ours" for table, name in found if (table, name) not in shipped
    ]


def _functions(rows: Rows, text: str) -> list[str]:
    shipped = dict(re.findall(r"CREATE FUNCTION (\w+)\(\).*?\$\$(.*?)\$\$", text, re.DOTALL))
    found: dict[str, str] = dict(
        rows("SELECT proname::text, prosrc FROM pg_proc WHERE proname = ANY (?)", [list(shipped)])
    )
    return [f"function {name} was altered" for name, body in shipped.items() if found.get(name) != body]


def _indexes(rows: Rows, text: str) -> list[str]:
    shipped = {
        name: _plain(where)
        for name, where in re.findall(r"CREATE INDEX (\w+) ON [^;]*?(?:WHERE ([^;]*))?;", text)
    }
    found: dict[Any, Any] = {
        row[0]: (_plain(row[1] or ""), row[2])
        for row in rows(
            "SELECT c.relname::text, pg_get_expr(i.indpred, i.indrelid), i.indisvalid AND i.indisready"
            " FROM pg_index i JOIN pg_class c ON c.oid = i.indexrelid WHERE NOT i.indisprimary"
            " AND i.indrelid = ANY (SELECT to_regclass(name) FROM unnest(?::text[]) name)",
            [list(TABLES)],
        )
    }
    wrong = [f"index {name} is missing" for name in shipped if name not in found]
    wrong += [
        f"index {name} was altered"
        for name, where in shipped.items()
        if found.get(name, (where, True)) != (where, True)
    ]
    return wrong + [f"index {name} is not ours" for name in found if name not in shipped]


def _plain(condition: str) -> str:
    """Return a condition without the brackets and types that PostgreSQL adds."""
    return re.sub(r"::\w+|[()\s]", "", condition).lower()
