"""What the common command-line options chose; nothing heavy is loaded until one of them is used."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from assistant.logbook.clock import Clock
    from assistant.site import Site

TRIAL = "(trial, not the record)"
"""Stands behind the kitchen's name on every page and paper of a log in which things were only tried."""


@dataclass(frozen=True)
class Options:
    """What the common command-line options chose. ``at`` sets the clock (tests and demos).

    ``trial``: things are only tried, in a log beside the kitchen's own; its kitchen is called so on paper.
    """

    state: Path | None = None
    site: Path | None = None
    profile: str = ""
    at: str = ""
    trial: bool = False

    @property
    def folder(self) -> Path:
        """The folder of the log and the clips."""
        if self.state is not None:
            return self.state
        from platformdirs import user_data_path

        own = user_data_path("kitchen-assistant", appauthor=False)
        return own / "trial" if self.trial else own

    @property
    def site_file(self) -> Path | None:
        """The site file in force; none means the invented example kitchen."""
        from assistant.site import find_site_file

        return find_site_file(self.site)

    def load_site(self) -> Site:
        """Return the site with the profile chosen on the command line; raises ``InputError``."""
        return self.site_of(self.site_file)

    def site_of(self, file: Path | None) -> Site:
        """Return the site of ``file`` (none: the example) with the profile chosen; raises ``InputError``."""
        from assistant.site import load_site

        site = load_site(file)
        if self.profile:
            site = site.with_profile(self.profile)
        if self.trial:
            name = f"{site.kitchen.name} {TRIAL}"
            site = site.model_copy(update={"kitchen": site.kitchen.model_copy(update={"name": name})})
        _ = site.profile  # an unknown profile or override is reported here, before anything is heard
        return site

    def clock(self, site: Site) -> Clock:
        """Return the clock in force; raises ``InputError`` for a time or zone that cannot be read."""
        from assistant.logbook.clock import chosen_clock

        return chosen_clock(site.kitchen.time_zone, self.at)
