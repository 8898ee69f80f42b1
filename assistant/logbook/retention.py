"""Removing old clips and entries by the site's rule, each time with a note in the chain.

How long records have to be kept is for the local authority to say; nothing is removed unless asked.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

from assistant.errors import InputError
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.scripts import statements
from assistant.logbook.store import Logbook
from assistant.logbook.troubles import explained

SHORTEST_DAYS = 7
"""Nothing younger goes: a slip of the keyboard must not empty the log."""


def cutoff(log: Logbook, keep_days: int, *, clock_checked: bool = False) -> date:
    """Return the first day that is kept. Raises ``InputError`` for too few days or a clock in doubt.

    Counted back from the newest entry, not from the clock alone; and where the clock jumped within the
    days to keep, a person has to look at it first (``clock_checked``): one far ahead would empty the log.
    """
    if keep_days < SHORTEST_DAYS:
        raise InputError(f"keep at least {SHORTEST_DAYS} days; the local authority says how many it wants")
    newest = next(log.views.entries(max(log.views.head().count, 1)), None)
    last = date.fromisoformat(newest.at_local[:10]) if newest else log.today()
    first_kept = min(last, log.today()) - timedelta(days=keep_days)
    jump = log.views.latest(Filter(first_day=first_kept, kinds=("clock_change",)))
    if jump and not clock_checked:
        raise InputError(
            f"the clock jumped on {jump.day} ({jump.entry.note}): check it, then say that you did and retry"
        )
    return first_kept


def remove_clips(log: Logbook, keep_days: int, *, clock_checked: bool = False) -> int:
    """Remove the clips of days before the last ``keep_days``; return how many.

    The note is committed before the first file goes, so a stop half-way never looks like tampering.
    """
    first_kept = cutoff(log, keep_days, clock_checked=clock_checked)
    old = _old_clips(log.clips_folder, first_kept)
    if old:
        log.append(Draft(
            kind="retention", subject="clips", item=first_kept.isoformat(), value=str(len(old)), unit="clips",
            note=f"clips before {first_kept} removed by rule: kept for {keep_days} days",
        ))  # fmt: skip
    with explained(log.clips_folder):
        for path in old:
            path.unlink(missing_ok=True)
        for folder in {path.parent for path in old}:
            if not any(folder.iterdir()):
                folder.rmdir()
    return len(old)


def remove_entries(log: Logbook, keep_days: int, *, clock_checked: bool = False) -> int:
    """Remove the entries of days before the last ``keep_days``; return how many.

    Only a beginning of the chain goes, and only as far as nothing that stays is still open or refers to
    it. Note and removal are one transaction; the note holds the number and hash of the last entry removed,
    so the rest can still be verified.
    """
    first_kept = cutoff(log, keep_days, clock_checked=clock_checked)
    with log.database.atomic():
        last = _last_to_go(log, first_kept)
        first = log.database.rows("SELECT min(id) FROM entries")[0][0]
        if last < (first or 1):
            return 0
        (stored,) = log.database.rows("SELECT hash FROM entries WHERE id = ?", [last])[0]
        log.append(Draft(
            kind="retention", subject="entries", value=str(last), unit="entries", item=stored,
            note=f"entries 1 to {last}, before {first_kept}, removed by rule: kept for {keep_days} days",
        ))  # fmt: skip
        guard = next(each for each in statements("schema.sql") if "entries_no_delete" in each)
        log.database.rows("DROP TRIGGER entries_no_delete")
        log.database.rows("DELETE FROM entries WHERE id <= ?", [last])
        log.database.rows("DELETE FROM standing WHERE id <= ?", [last])
        log.database.rows(guard)
    return int(last - first + 1)


def _old_clips(folder: Path, first_kept: date) -> list[Path]:
    old: list[Path] = []
    for day in sorted(folder.iterdir()) if folder.is_dir() else ():
        try:
            if day.is_dir() and date.fromisoformat(day.name) < first_kept:
                old += sorted(day.glob("*.flac"))
        except ValueError:  # no folder of ours
            continue
    return old


def _last_to_go(log: Logbook, first_kept: date) -> int:
    """Return the number of the last entry that may go; 0 for none."""
    rows = log.database.rows
    kept, newest = rows(
        "SELECT (SELECT min(id) FROM standing WHERE day >= ?), (SELECT max(id) FROM entries)",
        [first_kept.isoformat()],
    )[0]
    still_open = rows("SELECT min(min(id), min(coalesce(refers_to, id))) FROM standing WHERE open = 1")[0][0]
    last = min(number for number in (kept, newest, still_open) if number is not None) - 1 if newest else 0
    while True:
        (named,) = rows("SELECT min(refers_to) FROM standing WHERE id > ? AND refers_to <= ?", [last, last])[
            0
        ]
        if named is None:
            return int(last)
        last = named - 1
