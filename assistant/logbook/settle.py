"""What an entry comes to once its corrections and withdrawals are applied. Pure: entries in, entry out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from assistant.logbook.clock import utc_text
from assistant.logbook.entry import Entry

AMENDING = ("correction", "withdrawal")
"""The kinds that change how an earlier entry stands; all others stand for themselves."""
_JUDGED = ("subject", "place", "item", "measured", "value", "unit")
_JUDGEMENT = ("verdict", "limits", "rule", "profile")
_CARRIED = (*_JUDGED, *_JUDGEMENT, "person", "amount", "said_at", "note")


@dataclass(frozen=True, slots=True)
class Settled:
    """``now`` is the entry as it stands (number and hashes stay those of the original)."""

    now: Entry
    withdrawn: bool
    amended_by: int | None


def void(amendments: Iterable[Entry]) -> set[int]:
    """Return the numbers taken back. A withdrawal may itself be taken back, by a later one."""
    gone: set[int] = set()
    for entry in sorted(amendments, key=lambda each: each.id, reverse=True):
        if entry.kind == "withdrawal" and entry.id not in gone and entry.refers_to is not None:
            gone.add(entry.refers_to)
    return gone


def settle(original: Entry, amendments: Sequence[Entry]) -> Settled:
    """Apply ``amendments`` (all that lead to ``original``) in the order in which they were made.

    A correction carries what it changes; what it leaves empty stays. If it changes what was judged
    and brings no verdict, the entry stands unjudged: an old pass never covers a new value.
    """
    gone = void(amendments)
    fields: dict[str, Any] = {}
    for entry in sorted(amendments, key=lambda each: each.id):
        if entry.kind == "correction" and entry.id not in gone:
            fields |= _changes(entry)
    return Settled(
        original.model_copy(update=fields) if fields else original,
        original.id in gone,
        max((entry.id for entry in amendments), default=None),
    )


def _changes(correction: Entry) -> dict[str, Any]:
    given = {
        name: getattr(correction, name) for name in _CARRIED if getattr(correction, name) not in ("", None)
    }
    if any(name in given for name in _JUDGED):
        given |= {name: getattr(correction, name) for name in _JUDGEMENT}
    return given


def moment(entry: Entry) -> tuple[str, str]:
    """Return the local day and the UTC time that an entry speaks of: when it was said, if that differs."""
    if entry.said_at is None:
        return entry.at_local[:10], entry.at_utc
    said = datetime.fromisoformat(entry.said_at)
    day = said.astimezone(datetime.fromisoformat(entry.at_local).tzinfo).date().isoformat()
    return day, utc_text(said)
