"""Many exceptions at a glance: for each place or food how often, on how many days, and what is still open."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from assistant.manager import shown
from assistant.manager.report import Exceptional
from assistant.site import Site

MANY = 30
"""More exceptions than this are told by place before they are told one by one (about two pages)."""


@dataclass(frozen=True, slots=True)
class AtOnePlace:
    """The exceptions of one place or food in a span."""

    about: str
    failed: int
    not_taken: int
    open: int
    days: int
    first: date
    last: date

    @property
    def span(self) -> str:
        """In words: the one day, or the first and the last."""
        if self.first == self.last:
            return shown.short_day(self.first)
        return f"{shown.short_day(self.first)} to {shown.short_day(self.last)}"


def by_place(exceptions: Iterable[Exceptional], site: Site) -> tuple[AtOnePlace, ...]:
    """Return the exceptions by what they are about: most open first, then most failed."""
    found: dict[str, list[Exceptional]] = {}
    for each in exceptions:
        found.setdefault(shown.about(each.line.now, site), []).append(each)
    places = (_at_one_place(about, several) for about, several in found.items())
    return tuple(sorted(places, key=lambda one: (-one.open, -one.failed, -one.not_taken, one.about)))


def _at_one_place(about: str, several: list[Exceptional]) -> AtOnePlace:
    days = {date.fromisoformat(each.line.day) for each in several}
    missing = sum(each.line.now.kind == "not_taken" for each in several)
    still_open = sum(each.open for each in several)
    return AtOnePlace(
        about, len(several) - missing, missing, still_open, len(days), min(days), max(days)
    )  # fmt: skip
