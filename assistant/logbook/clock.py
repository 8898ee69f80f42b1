"""Where the log gets its time from, and what counts as a clock that jumped."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Protocol, runtime_checkable

from assistant.errors import InputError

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

EARLIEST = datetime(2025, 1, 1, tzinfo=UTC)
"""No honest clock of this program shows less: a machine without a battery starts in 1970."""
SMALL_STEP = timedelta(seconds=2)
"""A step back of no more than this is a time server's trim: the entry keeps the time of the last."""
JUMP = timedelta(minutes=2)
"""Wall clock against the machine's steady counter: more apart than this is a jump."""
LONG_GAP = timedelta(days=30)
"""Longer without any entry: either the kitchen was closed or the clock went far forward."""


def utc_text(time: datetime) -> str:
    """Return an aware time as the log writes it: UTC, microseconds, ``Z``."""
    return time.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"


@runtime_checkable
class Clock(Protocol):
    """Gives the time of day at the kitchen, with its offset from UTC."""

    def now(self) -> datetime:
        """Return the time now, aware of its offset."""
        ...


@runtime_checkable
class SteadyClock(Clock, Protocol):
    """A clock that also counts seconds which nobody can set."""

    def elapsed(self) -> float:
        """Return seconds since some fixed moment, counted on through sleep."""
        ...


class SystemClock:
    """The machine's own clock and its steady counter."""

    def now(self) -> datetime:
        """Return the local time with the offset in force."""
        return datetime.now().astimezone()

    def elapsed(self) -> float:
        """Return seconds since the machine started; sleep counts where the system can tell."""
        boot_time = getattr(time, "CLOCK_BOOTTIME", None)
        return time.monotonic() if boot_time is None else time.clock_gettime(boot_time)


@dataclass
class SetClock:
    """A clock for tests and demos: stands still until it is moved."""

    time: datetime
    by_hand: bool = False
    """Whether somebody gave the time on the command line; the log says so at each entry."""

    def __post_init__(self) -> None:
        """Take a time without an offset as UTC."""
        if self.time.tzinfo is None:
            self.time = self.time.replace(tzinfo=UTC)

    def now(self) -> datetime:
        """Return the time that was set."""
        return self.time

    def move(self, **parts: float) -> None:
        """Move on by ``timedelta(**parts)``: ``move(minutes=5)``."""
        self.time += timedelta(**parts)


@dataclass
class Watch:
    """Compares each reading of the clock with the last entry and the steady counter."""

    clock: Clock
    _last: tuple[datetime, float] | None = field(default=None, init=False)
    _steady: SteadyClock | None = field(default=None, init=False)

    def __post_init__(self) -> None:
        """Look once whether the clock counts steadily as well."""
        self._steady = self.clock if isinstance(self.clock, SteadyClock) else None

    def read(self, last_entry: datetime | None, latest_entry: datetime | None) -> tuple[datetime, bool, str]:
        """Return the time to store, whether it is suspect, and what jumped ('' for nothing).

        ``last_entry`` is the time of the newest entry, ``latest_entry`` the highest time in the log:
        times stay suspect until they have passed it.
        """
        now = self.clock.now()
        jump = self._compare(now)
        if last_entry is not None and last_entry - SMALL_STEP <= now < last_entry:
            now = last_entry.astimezone(now.tzinfo)
        if last_entry is None:
            early = f"the clock shows {utc_text(now)}: too early" if now < EARLIEST else ""
            jump = jump or early
        elif now < last_entry:
            jump = f"the clock went back from {utc_text(last_entry)} to {utc_text(now)}"
        elif now - last_entry > LONG_GAP:
            jump = f"no entry since {utc_text(last_entry)}: the clock jumped, or nobody was here"
        behind = latest_entry is not None and now < latest_entry
        return now, bool(jump) or behind or now < EARLIEST, jump

    def _compare(self, now: datetime) -> str:
        if self._steady is None:
            return ""
        before, self._last = self._last, (now, self._steady.elapsed())
        if before is None:
            return ""
        expected = before[0] + timedelta(seconds=self._last[1] - before[1])
        if abs(now - expected) <= JUMP:
            return ""
        return f"the clock was set from {utc_text(expected)} to {utc_text(now)}"


@dataclass(frozen=True)
class ZoneClock(SystemClock):
    """The machine's clock, shown in the site's own time zone."""

    zone: ZoneInfo

    def now(self) -> datetime:
        """Return the time now in the site's zone."""
        return datetime.now(self.zone)


def zone_of(name: str) -> ZoneInfo:
    """Return the time zone of an IANA name; raises ``InputError``."""
    from zoneinfo import ZoneInfo, ZoneInfoNotFoundError  # with what tells how Python was built

    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise InputError(f"no time zone '{name}' is known; write one like America/Chicago") from None


def chosen_clock(time_zone: str = "", at: str = "") -> Clock:
    """Return the machine's clock, shown in ``time_zone`` (IANA name) if given, or one that stands at ``at``.

    Raises ``InputError`` for a time or zone that cannot be read.
    """
    zone = zone_of(time_zone) if time_zone else None
    if not at:
        return SystemClock() if zone is None else ZoneClock(zone)
    try:
        moment = datetime.fromisoformat(at)
    except ValueError:
        raise InputError(f"'{at}' is no time; write one like 2026-03-02T14:30.") from None
    if moment.tzinfo is None:
        moment = moment.replace(tzinfo=zone) if zone else moment.astimezone()
    return SetClock(moment, by_hand=True)
