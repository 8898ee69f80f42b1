"""Corrections and withdrawals as a table: what was said first, by whom, and what stands instead."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from assistant.logbook.entry import Entry
from assistant.logbook.query import Filter
from assistant.logbook.settle import AMENDING, void
from assistant.logbook.views import Line, Views
from assistant.manager import shown


@dataclass(frozen=True, slots=True)
class Change:
    """One correction or withdrawal (``by``) of a line, which keeps what was said first."""

    line: Line
    by: Entry
    taken_back: bool
    """Whether the change itself was taken back later."""

    @property
    def first(self) -> str:
        """What was said first, with the verdict that it had."""
        return _said(self.line.entry)

    @property
    def instead(self) -> str:
        """What was said instead, or that it was taken back."""
        said = _said(self.by) or self.by.note or self.by.subject
        text = "taken back" if self.by.kind == "withdrawal" else said
        text += f" “{self.by.words}”" if self.by.words else ""
        return f"{text}, which was taken back" if self.taken_back else text


def changes_of(lines: Iterable[Line]) -> tuple[Change, ...]:
    """Return every change of some lines, in the order in which they were made."""
    found: dict[tuple[str, int], Change] = {}
    for line in lines:
        gone = void(line.amendments)
        for entry in line.amendments:
            found[line.site, entry.id] = Change(line, entry, entry.id in gone)
    return tuple(found[key] for key in sorted(found))


def changed_in(views: Views, wanted: Filter, lines: Iterable[Line]) -> tuple[Change, ...]:
    """Return changes of some lines, and those that were made in the span ``wanted`` to others."""
    all_lines = {(line.site, line.entry.id): line for line in lines}
    made = Filter(
        first_day=wanted.first_day, last_day=wanted.last_day, kinds=("correction", "withdrawal"),
        site=wanted.site,
    )  # fmt: skip
    for amendment in views.each(made):
        root = original(views, amendment)
        if root is not None:
            all_lines.setdefault((root.site, root.entry.id), root)
    return changes_of(all_lines.values())


def original(views: Views, line: Line) -> Line | None:
    """Return the line that an amendment changes in the end, ``None`` where it is not there."""
    found: Line | None = line
    while found is not None and found.entry.kind in AMENDING:
        found = views.line(found.entry.refers_to, found.site) if found.entry.refers_to else None
    return found


def _said(entry: Entry) -> str:
    parts = [shown.value(entry), entry.verdict or ""]
    return ", ".join(part for part in parts if part)
