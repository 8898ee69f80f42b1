"""What is kept away from this machine by itself: where heads are noted, where and when backups are made.

The settings lie in ``care.toml`` beside the log.
"""

from __future__ import annotations

import json
import tomllib
from datetime import datetime, time
from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, StringConstraints, ValidationError

from assistant.errors import InputError, KitchenError
from assistant.logbook.anchors import add_anchor, last_noted, read_anchors
from assistant.logbook.clips import write_whole
from assistant.logbook.troubles import explained
from assistant.logbook.views import Head

FILE_NAME = "care.toml"
HEADS_NAME = "heads.txt"
"""In a folder of backups: the heads of all of them."""
EVERY_SECONDS = 3600.0
"""A head is noted elsewhere so often at most, and with the first entry after a start."""
Clock = Annotated[str, StringConstraints(pattern=r"^([01]\d|2[0-3]):[0-5]\d$")]


class Care(BaseModel):
    """``heads_to`` is a file, ``backup_to`` a folder, both best on another disk; empty: not done."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    heads_to: str = ""
    backup_to: str = ""
    backup_at: Clock = "03:00"

    def heads(self) -> tuple[Head, ...]:
        """Return every head noted elsewhere that can be reached just now."""
        found: tuple[Head, ...] = ()
        for path in self.places():
            if path.is_file():
                found += read_anchors(path)
        return found

    def places(self) -> tuple[Path, ...]:
        """Return the files outside the log that hold heads."""
        files = [Path(self.heads_to)] if self.heads_to else []
        return (*files, *([Path(self.backup_to) / HEADS_NAME] if self.backup_to else []))

    def last_backup(self) -> datetime | None:
        """Return when the last backup was made; ``None`` where there is none, or it is out of reach."""
        noted = last_noted(Path(self.backup_to) / HEADS_NAME) if self.backup_to else None
        return noted[1] if noted else None

    def backup_is_due(self, now: datetime) -> bool:
        """Whether the night's backup has not been made yet."""
        if not self.backup_to:
            return False
        hour, minute = map(int, self.backup_at.split(":"))
        due = datetime.combine(now.date(), time(hour, minute), now.tzinfo)
        last = self.last_backup()
        return now >= due and (last is None or last < due)


def load_care(folder: Path) -> Care:
    """Return the settings of the log in ``folder``; raises ``InputError`` for a file that cannot be read."""
    path = folder / FILE_NAME
    if not path.is_file():
        return Care()
    try:
        return Care.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError, ValidationError) as error:
        first = str(error).splitlines()[0]
        raise InputError(
            f"the settings {path} cannot be used ({first}): set them again with 'kitchen log care'"
        ) from None


def save_care(folder: Path, care: Care) -> None:
    """Keep the settings."""
    lines = [f"{name} = {json.dumps(value, ensure_ascii=False)}" for name, value in care.model_dump().items()]
    with explained(folder):
        write_whole(folder / FILE_NAME, ("\n".join(lines) + "\n").encode("utf-8"))


class HeadNotes:
    """Notes the head of a working log elsewhere, once in a while. A place out of reach stops nothing."""

    def __init__(self, folder: Path) -> None:
        """Look once where heads go."""
        self._noted: float | None = None
        try:
            self._care = load_care(folder)
        except KitchenError:
            self._care = Care()

    def note(self, head: Head, when: datetime, elapsed: float) -> None:
        """Note ``head`` if it is time; ``elapsed`` are steady seconds."""
        if not self._care.heads_to or (self._noted is not None and elapsed - self._noted < EVERY_SECONDS):
            return
        self._noted = elapsed
        try:
            add_anchor(Path(self._care.heads_to), head, when, "working log")
        except KitchenError:
            return
