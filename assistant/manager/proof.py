"""Whether the log that a page or a report is made from is still as it was written, and what to do if not."""

from __future__ import annotations

import threading
import time
from collections.abc import Hashable
from dataclasses import dataclass, field
from datetime import datetime

from assistant.errors import KitchenError
from assistant.logbook.canonical import FIRST_HASH
from assistant.logbook.store import lost_text
from assistant.logbook.verify import Report
from assistant.logbook.views import Head
from assistant.manager.desk import Desk
from assistant.manager.shown import capital

TITLE = "This log does not check out"
WHAT_TO_DO = (
    "What is shown here may not be what was said: do not sign it off or hand it on as it is. Keep a copy of"
    " the whole folder of the log, change nothing in it, and tell the manager. 'kitchen log verify' finds the"
    " faults; the last backup, or a chain head noted outside, tells what the log held before."
)
PATIENCE = 1.5
"""Seconds that a page waits for a check; a longer one goes on, and a later page tells how it ended."""
REST = 20
"""After a check so many times its own length has to pass: the kitchen needs the machine for other things."""


def alarm_of(report: Report | None) -> str:
    """Return what is wrong with a log in one sentence, or '' where nothing was found."""
    if report is None or report.first is None:
        return ""
    more = len(report.faults) - 1
    others = f", and {more} more fault{'s' if more > 1 else ''}" if more else ""
    return f"{capital(report.first.text)}{others}."


_NONE = Head(0, FIRST_HASH)


@dataclass(slots=True)
class Known:
    """What is known of one kitchen's log: of which state, since when, and the check that runs now."""

    of: Hashable = None
    in_entries: str = ""
    set_back: str = ""
    """Said when entries that a page has shown vanished since; it stays until this program is started anew."""
    furthest: Head = _NONE
    in_full: str = ""
    """What the last check of entries and recordings together found, when somebody asked for it."""
    checked_at: datetime | None = None
    entries: int = 0
    took: float = 0.0
    ended: float = 0.0
    running: threading.Thread | None = None

    @property
    def alarm(self) -> str:
        """What is wrong, in a sentence, or ''."""
        return self.set_back or self.in_entries or self.in_full


@dataclass
class Proof:
    """Checks the entries behind the pages whenever the log's file has changed.

    A recording is checked when it is played, all of them when somebody asks for it.
    """

    desk: Desk
    _known: dict[str, Known] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def look(self, kitchen: str = "", *, wait: bool = False) -> Known:
        """Return what is known now, after a short wait where a check is due; ``wait``: until it is done."""
        known = self._known.setdefault(kitchen, Known())
        self._follow(known, kitchen)
        with self._lock:
            if known.running is None and self._due(known, kitchen):
                known.running = threading.Thread(target=self._check, args=(known, kitchen), daemon=True)
                known.running.start()
            running = known.running
        if running is not None:
            running.join(None if wait else PATIENCE)
        return known

    def known(self, kitchen: str) -> Known:
        """Return what is known without looking."""
        return self._known.setdefault(kitchen, Known())

    def _follow(self, known: Known, kitchen: str) -> None:
        """Remember the furthest head seen, and shout where the log no longer holds it."""
        try:
            with self.desk.views(kitchen) as views:
                now, before = views.head(), known.furthest
                held = next(views.stored(before.count, first=before.count), None) if before.count else None
        except KitchenError:  # no log, or none that can be read: the page itself says so
            return
        if before.count and (held is None or not before.fits(held[1])):
            known.set_back = capital(f"{lost_text(before)}.")
        elif now.count >= before.count:
            known.furthest = now

    def tell(self, report: Report) -> None:
        """Take over what a full check of this machine's log found."""
        known = self._known.setdefault("", Known())
        known.in_full = alarm_of(report)

    def _due(self, known: Known, kitchen: str) -> bool:
        rested = time.monotonic() - known.ended >= REST * known.took
        return rested and known.of != self.desk.state_of(kitchen)

    def _check(self, known: Known, kitchen: str) -> None:
        began, state = time.monotonic(), self.desk.state_of(kitchen)
        try:
            report = self.desk.check(kitchen, clips=False)
        except KitchenError:  # no log, or none that can be read: the page itself says so
            report = None
        if report is not None:
            known.in_entries, known.entries = alarm_of(report), report.checked
            known.checked_at = self.desk.clock.now()
        known.of, known.ended = state, time.monotonic()
        known.took, known.running = known.ended - began, None
