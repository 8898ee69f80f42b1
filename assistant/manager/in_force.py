"""The kitchen in force on the page: its site file, read again when it was changed, here or by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from assistant.errors import KitchenError
from assistant.logbook.clock import Clock
from assistant.manager.desk import Desk
from assistant.manager.site_file import SiteFile
from assistant.site import Site

Load = Callable[[], tuple[Site, Clock]]
"""Reads the site file as the command line has it (a profile may stand there); raises ``KitchenError``."""


@dataclass
class InForce:
    """What the page knows of its site file. Without one (the office, a test) nothing can be set up."""

    desk: Desk
    file: SiteFile | None = None
    load: Load | None = None
    fault: str = ""
    _seen: tuple[int, int, int] | None = field(default=None, init=False)

    def __post_init__(self) -> None:
        """Note how the file is now: the desk was opened with it."""
        self._seen = self._state()

    @property
    def can_change(self) -> bool:
        """Whether the kitchen can be set up here."""
        return self.file is not None and self.load is not None and not self.desk.office

    @property
    def example(self) -> bool:
        """Whether nobody has set this kitchen up: the invented one is in force."""
        return self.can_change and self.file is not None and not self.file.exists

    def refresh(self) -> None:
        """Take up a file that was changed; one with a fault is told on every page, and the old one stays."""
        state = self._state()
        if state == self._seen or self.load is None:
            return
        try:
            self.desk.site, self.desk.clock = self.load()
            self.fault = ""
        except KitchenError as error:
            self.fault = str(error)
        self._seen = state

    def _state(self) -> tuple[int, int, int] | None:
        try:
            now = self.file.path.stat() if self.file else None
        except OSError:
            return None
        return (now.st_ino, now.st_size, now.st_mtime_ns) if now else None
