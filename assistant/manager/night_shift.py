"""What the served page does by itself: backup, alerts, and for an office a check of every chain."""

from __future__ import annotations

import threading
from datetime import date, datetime
from pathlib import Path

from assistant.errors import KitchenError
from assistant.logbook.care import load_care
from assistant.logbook.listening import Listening, read_listening
from assistant.logbook.nightly import nightly
from assistant.manager.alerts import alerts_of
from assistant.manager.desk import Desk, LocalDesk
from assistant.manager.messenger import Messenger
from assistant.manager.proof import Proof
from assistant.manager.shown import capital

EVERY_SECONDS = 60.0
OFFICE_HOUR = 3


class NightShift:
    """Looks once a minute whether something is due; what went wrong is told on every page."""

    def __init__(self, desk: Desk, proof: Proof, site_file: Path | None = None) -> None:
        """Work for one desk; ``site_file`` comes along in backups."""
        self._desk = desk
        self._proof = proof
        self._site_file = site_file
        self._checked: date | None = None
        self.fault = ""
        self.messenger = Messenger(desk.folder) if isinstance(desk, LocalDesk) else None

    def tell(self, now: datetime) -> None:
        """Tell whoever is to be told what waits too long at ``now``."""
        desk = self._desk
        if self.messenger is None or not isinstance(desk, LocalDesk) or not desk.site.alerts.set_up:
            return
        faults = {"check": self._proof.look().alarm, "night": self.fault, "log": desk.trouble()}
        with desk.views() as views:
            found = alerts_of(views, desk.site, now, faults=faults, listening=read_listening(desk.folder))
        self.messenger.look(found, desk.site, now)

    def listening(self) -> Listening | None:
        """Return whether the assistant listens, as far as this machine knows."""
        return read_listening(self._desk.folder) if isinstance(self._desk, LocalDesk) else None

    def begin(self) -> None:
        """Work in a thread of its own until the program ends."""
        threading.Thread(target=self._work, name="night shift", daemon=True).start()

    def look(self, now: datetime) -> None:
        """Do what is due at ``now``."""
        if isinstance(self._desk, LocalDesk):
            there = self._site_file if self._site_file and self._site_file.is_file() else None
            night = nightly(self._desk.folder, now, site_file=there)
            if night.done or night.fault:
                self.fault = capital(f"{night.fault}.") if night.fault else ""
            self.tell(now)
        elif now.hour >= OFFICE_HOUR and self._checked != now.date():
            self._checked = now.date()
            for each in self._desk.kitchens():
                self._proof.look(each.name, wait=True)

    def last_backup(self) -> datetime | None:
        """Return when the last backup of this machine's log was made, if one is set."""
        if not isinstance(self._desk, LocalDesk):
            return None
        try:
            return load_care(self._desk.folder).last_backup()
        except KitchenError:
            return None

    def backup_is_set(self) -> bool:
        """Whether a backup happens by itself."""
        if not isinstance(self._desk, LocalDesk):
            return False
        try:
            return bool(load_care(self._desk.folder).backup_to)
        except KitchenError:
            return False

    def _work(self) -> None:
        pause = threading.Event()
        while True:
            try:
                self.look(self._desk.clock.now())
            except KitchenError as error:
                self.fault = capital(f"{error}.")
            pause.wait(EVERY_SECONDS)
