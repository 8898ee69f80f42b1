"""The log for other programs: CSV for a spreadsheet, JSON Lines as the exact record.

Beside each export lies ``NAME.head``, the chain's head at that moment, to check the log against later.
The columns and members are described in ``tables/export_columns.csv``.
"""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Iterator
from datetime import datetime
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Literal

from assistant.errors import InputError
from assistant.logbook.anchors import add_anchor
from assistant.logbook.chain import Chain, Fault
from assistant.logbook.entry import Entry
from assistant.logbook.query import Filter
from assistant.logbook.troubles import explained
from assistant.logbook.verify import Report
from assistant.logbook.views import Head, Line, Views

Form = Literal["csv", "jsonl"]
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_HASH = b',"hash":"'
_BYTE_ORDER_MARK = "\ufeff".encode()
"""Tells a spreadsheet that the text is UTF-8; without it names with accents come out wrong in some."""


@cache
def columns() -> tuple[dict[str, str], ...]:
    """Return the documented columns: ``column``, ``in`` (csv, or both), ``form`` and ``meaning``."""
    text = (files("assistant.logbook") / "tables" / "export_columns.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def export(views: Views, path: Path, form: Form, when: datetime, wanted: Filter | None = None) -> int:
    """Write the log to ``path`` and its head beside it; return the number of entries.

    CSV holds the lines of ``wanted`` (all by default) as they stand; JSON Lines holds the whole chain, as
    stored, and takes no filter. The file appears when it is complete.
    """
    if form == "jsonl" and wanted is not None:
        raise InputError("JSON Lines holds the whole log, so that it can be checked: filter a CSV instead")
    head = views.head()
    pieces = _json_lines(views, head.count) if form == "jsonl" else _csv_lines(views, wanted)
    unfinished = path.with_name(f".{path.name}.part")
    count = -1 if form == "csv" else 0  # the first line of a CSV names its columns
    with explained(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            with unfinished.open("wb") as file:
                for piece in pieces:
                    file.write(piece)
                    count += 1
                file.flush()
                os.fsync(file.fileno())
            os.replace(unfinished, path)
        except BaseException:
            unfinished.unlink(missing_ok=True)
            raise
    anchor = path.with_name(path.name + ".head")
    anchor.unlink(missing_ok=True)
    add_anchor(anchor, head, when, f"head of the log when {path.name} was written")
    return count


def verify_json_lines(path: Path, anchors: tuple[Head, ...] = ()) -> Report:
    """Check the chain in an exported file; raises ``InputError`` for a file that cannot be read."""
    chain, faults = Chain(), []
    checked = 0
    with explained(path), path.open("rb") as file:
        for line in file:
            body, _, rest = line.rpartition(_HASH)
            stored = rest[:64].decode("ascii", "replace")
            entry = _identity(body + b"}")
            if not checked:
                chain.count, chain.hash = max(entry[0] - 1, 0), entry[1]
            checked += 1
            found = chain.follow(entry[0], entry[1], stored, body + b"}")
            if isinstance(found, Fault):
                faults.append(found)
            elif not all(anchor.fits(stored) for anchor in anchors if anchor.count == found.id):
                faults.append(
                    Fault(found.id, f"entry {found.id} is not the one whose head was noted outside")
                )
    faults += [
        Fault(chain.count + 1, f"the file was cut: it ends at {chain.count}, a head is of {anchor.count}")
        for anchor in anchors
        if anchor.count > chain.count
    ]
    return Report(Head(chain.count, chain.hash), checked, 0, tuple(faults))


def _identity(body: bytes) -> tuple[int, str]:
    try:
        entry = Entry.model_validate_json(body[:-1] + b',"hash":""}')
    except ValueError:
        return 0, ""
    return entry.id, entry.previous_hash


def _json_lines(views: Views, last: int) -> Iterator[bytes]:
    for body, stored in views.stored(last):
        yield body[:-1] + _HASH + stored.encode("ascii") + b'"}\n'


def _csv_lines(views: Views, wanted: Filter | None) -> Iterator[bytes]:
    names = [row["column"] for row in columns()]
    buffer = io.StringIO()
    writer = csv.DictWriter(buffer, names)
    writer.writeheader()
    yield _BYTE_ORDER_MARK + buffer.getvalue().encode("utf-8")
    for line in views.each(wanted):
        buffer.seek(0)
        buffer.truncate()
        writer.writerow(_row(line))
        yield buffer.getvalue().encode("utf-8")


def _row(line: Line) -> dict[str, object]:
    entry, now = line.entry, line.now
    fields: dict[str, object] = entry.model_dump(exclude={"limits", "clip"})
    fields |= {f"limits_{name}": value for name, value in (entry.limits or ())}
    fields |= {f"clip_{name}": value for name, value in (entry.clip or ())}
    fields |= {
        "day": line.day, "stands_subject": now.subject, "stands_value": now.value, "stands_unit": now.unit,
        "stands_verdict": now.verdict, "withdrawn": line.withdrawn, "open": line.open,
        "closed_by": line.closed_by, "amended_by": " ".join(str(each.id) for each in line.amendments),
    }  # fmt: skip
    return {name: _cell(name, value) for name, value in fields.items()}


def _cell(name: str, value: object) -> object:
    """No spreadsheet takes what somebody said for a formula; numbers stay numbers."""
    if isinstance(value, bool):
        return "yes" if value else ""
    if isinstance(value, str) and value.startswith(_FORMULA) and not name.endswith(("value", "low", "high")):
        return "'" + value
    return value
