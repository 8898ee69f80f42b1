"""One kitchen at work: site, log and conversation put together for the commands and the tests."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from platformdirs import user_data_path

from assistant.dialogue.conversation import Conversation
from assistant.errors import InputError
from assistant.logbook.clock import Clock, SetClock, SystemClock
from assistant.logbook.database import FILE_NAME
from assistant.logbook.store import Logbook, open_views
from assistant.site import Site, find_site_file, load_site


@dataclass(frozen=True)
class Options:
    """What the common command-line options chose. ``at`` sets the clock (tests and demos)."""

    state: Path | None = None
    site: Path | None = None
    profile: str = ""
    at: str = ""

    @property
    def folder(self) -> Path:
        """The folder of the log and the clips."""
        return self.state or user_data_path("kitchen-assistant", appauthor=False)

    @property
    def site_file(self) -> Path | None:
        """The site file in force; none means the invented example kitchen."""
        return find_site_file(self.site)

    def load_site(self) -> Site:
        """Return the site with the profile chosen on the command line; raises ``InputError``."""
        site = load_site(self.site_file)
        if self.profile:
            site = site.with_profile(self.profile)
        _ = site.profile  # an unknown profile or override is reported here, before anything is heard
        return site

    def clock(self, site: Site) -> Clock:
        """Return the clock in force; raises ``InputError`` for a time or zone that cannot be read."""
        try:
            zone = ZoneInfo(site.kitchen.time_zone) if site.kitchen.time_zone else None
        except (ZoneInfoNotFoundError, ValueError):
            raise InputError(
                f"The time zone '{site.kitchen.time_zone}' is not known; write one like 'America/Chicago'."
            ) from None
        if not self.at:
            return SystemClock() if zone is None else ZoneClock(zone)
        try:
            moment = datetime.fromisoformat(self.at)
        except ValueError:
            raise InputError(f"'{self.at}' is no time; write one like 2026-03-02T14:30.") from None
        if moment.tzinfo is None:
            moment = moment.replace(tzinfo=zone) if zone else moment.astimezone()
        return SetClock(moment)


@dataclass(frozen=True)
class ZoneClock(SystemClock):
    """The machine's clock, shown in the site's own time zone."""

    zone: ZoneInfo

    def now(self) -> datetime:
        """Return the time now in the site's zone."""
        return datetime.now(self.zone)


@dataclass(frozen=True)
class Kitchen:
    """Everything that one command needs, open until the block ends.

    ``new``: its log was begun just now; ``example``: no site file is in force, the kitchen is invented.
    """

    site: Site
    clock: Clock
    log: Logbook
    conversation: Conversation
    new: bool = False
    example: bool = False


@contextmanager
def open_kitchen(options: Options, *, begin: bool = True) -> Iterator[Kitchen]:
    """Open site, log and conversation; raises ``KitchenError`` in one sentence.

    A log that is not there is begun, or with ``begin`` false it is refused and nothing is made.
    """
    site = options.load_site()
    clock = options.clock(site)
    new = not (options.folder / FILE_NAME).is_file()
    if not begin:
        open_views(options.folder).close()
    with Logbook.open(options.folder, site=site.kitchen.name, clock=clock) as log:
        yield Kitchen(site, clock, log, Conversation(site, log, clock), new, options.site_file is None)
