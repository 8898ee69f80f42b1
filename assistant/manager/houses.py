"""All kitchens of an office in one table, the one that needs a look most first."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from assistant.logbook.query import Filter
from assistant.logbook.signed_days import days_of
from assistant.manager.desk import Desk
from assistant.manager.proof import Proof

UNSIGNED_DAYS = 7
SILENT_HOURS = 26
"""No word from a kitchen that sends every night for longer than this is an alarm."""
MOST = 500


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
    """Return the kitchens of an office, worst first; a handful of queries over all of them."""
    now = desk.clock.now()
    first, last = day - timedelta(days=UNSIGNED_DAYS), day - timedelta(days=1)
    with desk.views() as views:
        open_by = views.tally(Filter(open=True), "site")
        failed_by = views.tally(Filter(first_day=day, last_day=day, failed=True), "site")
        worked = views.tally(Filter(first_day=first, last_day=last), "site", "day")
        reviews = views.tally(
            Filter(first_day=first, kinds=("review",), standing_only=True), "site", "subject", "day"
        )
    signed = {(site, each) for site, subject, own in reviews for each in days_of(subject, own)}
    unsigned = Counter(site for site, each in worked if (site, each) not in signed)
    found = []
    for each in desk.kitchens():
        known, heard = proof.known(each.name), each.received_at
        silent = heard is None or now - heard > timedelta(hours=SILENT_HOURS)
        found.append(House(
            each.name, each.head.count, open_by.get((each.name,), 0), failed_by.get((each.name,), 0),
            unsigned[each.name], heard, silent, known.alarm, known.checked_at,
        ))  # fmt: skip
    return tuple(sorted(found, key=lambda house: house.order))[:MOST]
