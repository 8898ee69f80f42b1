"""A week at a glance: how each place did on each day, and whether it fails more often of late; pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from assistant.logbook.views import Line
from assistant.manager import shown
from assistant.site import Site

OFTEN, IN_DAYS = 3, 14
"""So many fails in so many days are worth a word."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One place on one day."""

    readings: int
    failed: int
    worst: str
    """The value that failed, or the last one."""

    @property
    def word(self) -> str:
        """The verdict of the day, '' for none."""
        return "fail" if self.failed else "pass" if self.readings else ""


@dataclass(frozen=True, slots=True)
class Row:
    """One place: its days from Monday, and the fails of this week and the one before."""

    subject: str
    name: str
    cells: tuple[Cell, ...]
    failed: int
    failed_before: int
    readings: int

    @property
    def order(self) -> tuple[int, int, str]:
        """Sorts the worst first."""
        return -self.failed, -self.failed_before, self.name


def rows_of(lines: Iterable[Line], site: Site, monday: date) -> tuple[Row, ...]:
    """Return the places of a week, worst first, from the readings of two weeks."""
    by_place: dict[str, list[Line]] = {}
    for line in lines:
        if line.now.measured != "cooling" and line.now.value is not None and not line.withdrawn:
            by_place.setdefault(line.now.subject, []).append(line)
    rows = []
    for subject, found in by_place.items():
        cells = tuple(_cell(found, monday + timedelta(days=number)) for number in range(7))
        before = [line for line in found if line.day < monday.isoformat()]
        rows.append(Row(
            subject, shown.capital(site.spoken_name(subject)), cells, sum(cell.failed for cell in cells),
            _fails(before), sum(cell.readings for cell in cells),
        ))  # fmt: skip
    return tuple(sorted(rows, key=lambda row: row.order))


def warning_of(lines: Sequence[Line], today: date) -> str:
    """Say that a place failed often of late, or ''."""
    since = (today - timedelta(days=IN_DAYS)).isoformat()
    count = _fails([line for line in lines if line.day > since])
    return f"Failed {count} times in {IN_DAYS} days: have it looked at." if count >= OFTEN else ""


def _fails(lines: Iterable[Line]) -> int:
    return sum(line.now.verdict == "fail" for line in lines)


def _cell(lines: list[Line], day: date) -> Cell:
    here = [line for line in lines if line.day == day.isoformat()]
    failed = [line for line in here if line.now.verdict == "fail"]
    told = (failed or here)[-1:]
    return Cell(len(here), len(failed), shown.value(told[0].now) if told else "")
