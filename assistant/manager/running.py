"""Clocks that run now, read from the log's ``clock`` entries: what, since when, and until when if known."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from assistant.logbook.views import Line
from assistant.manager import shown
from assistant.rules.profile import Profile

LOOK_BACK = timedelta(hours=36)
_WORDS = {"thawing": "thawing under water", "time": "held by time alone", "sanitizer": "sanitizer made"}


@dataclass(frozen=True, slots=True)
class Running:
    """One clock that nothing has ended; ``until`` where a limit of the profile says so."""

    what: str
    subject: str
    since: datetime
    until: datetime | None


def running(lines: Iterable[Line], profile: Profile, now: datetime) -> tuple[Running, ...]:
    """Return the clocks that run at ``now``. Cooling is left out: it has curves of its own."""
    found: dict[tuple[str, str], Running] = {}
    for line in sorted(lines, key=lambda each: each.entry.id):
        entry, at = line.now, shown.moment(line.now)
        if line.withdrawn or now - at > LOOK_BACK:
            continue
        if entry.kind == "discard":
            found = {key: each for key, each in found.items() if key[1] != entry.subject}
        elif entry.kind == "clock" and entry.measured in _WORDS:
            found.pop((entry.measured, entry.subject), None)
            if entry.note.startswith("started"):
                found[entry.measured, entry.subject] = Running(
                    _WORDS[entry.measured], entry.subject, at, _until(entry.measured, at, profile)
                )
    return tuple(found.values())


def _until(measured: str, since: datetime, profile: Profile) -> datetime | None:
    if measured != "time":
        return None
    return since + timedelta(hours=float(profile.value("time_control_hours_max")))
