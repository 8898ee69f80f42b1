"""All kitchens of an office in one table, the one that needs a look most first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from assistant.logbook.query import Filter
from assistant.manager.desk import Desk
from assistant.manager.proof import Proof
from assistant.manager.reviews import days_signed

UNSIGNED_DAYS = 7
SILENT_HOURS = 26
"""No word from a kitchen that sends every night for longer than this is an alarm."""
_MOST = 500


@dataclass(frozen=True, slots=True)
class House:
    """One kitchen: what is open, failed on the day, unsigned in the week before, and its chain."""

    name: str
    entries: int
    open: int
    failed: int
    unsigned: int
    heard: datetime | None
    silent: bool
    chain: str
    """What is wrong with its log, or ''."""
    checked: datetime | None

    @property
    def order(self) -> tuple[bool, bool, int, int, int, str]:
        """Sorts the worst first."""
        return not self.chain, not self.silent, -self.open, -self.failed, -self.unsigned, self.name


def houses(desk: Desk, proof: Proof, day: date) -> tuple[House, ...]:
    """Return the kitchens of an office, worst first."""
    found = []
    now = desk.clock.now()
    with desk.views() as views:
        for each in desk.kitchens()[:_MOST]:
            first, last = day - timedelta(days=UNSIGNED_DAYS), day - timedelta(days=1)
            span = Filter(first_day=first, last_day=last, site=each.name)
            reviews = Filter(first_day=first, site=each.name, kinds=("review",), standing_only=True)
            signed = {one for line in views.each(reviews) for one in days_signed(line)}
            begun = views.first_day(each.name)
            days = [first + timedelta(days=n) for n in range(UNSIGNED_DAYS)]
            unsigned = sum(bool(begun and one >= begun and one.isoformat() not in signed) for one in days)
            known = proof.known(each.name)
            heard = each.received_at
            found.append(House(
                each.name, each.head.count, views.count(Filter(open=True, site=each.name)),
                views.count(Filter(first_day=day, last_day=day, failed=True, site=each.name)),
                unsigned if views.count(span) else 0, heard,
                heard is None or now - heard > timedelta(hours=SILENT_HOURS), known.alarm, known.checked_at,
            ))  # fmt: skip
    return tuple(sorted(found, key=lambda house: house.order))
