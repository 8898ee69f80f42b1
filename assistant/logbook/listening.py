"""Whether somebody listens: a small file beside the log, written by the assistant and read by the page."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Literal

from assistant.errors import KitchenError
from assistant.logbook.clips import write_whole
from assistant.logbook.troubles import explained

FILE_NAME = "listening.json"
Ear = Literal["listening", "no microphone", "stopped"]


@dataclass(frozen=True, slots=True)
class Listening:
    """How it is, since when, and when that was written last (aware times)."""

    state: Ear
    since: datetime
    seen: datetime


def note_listening(folder: Path, state: Ear, since: datetime, seen: datetime) -> None:
    """Write it down; a disk that refuses stops nothing."""
    kept = {"state": state, "since": since.isoformat(), "seen": seen.isoformat()}
    try:
        with explained(folder):
            write_whole(folder / FILE_NAME, json.dumps(kept).encode("ascii"))
    except KitchenError:
        return


def read_listening(folder: Path) -> Listening | None:
    """Return what was written last; ``None`` where nobody ever listened, or it cannot be read."""
    try:
        kept = json.loads((folder / FILE_NAME).read_text(encoding="ascii"))
        return Listening(
            kept["state"], datetime.fromisoformat(kept["since"]), datetime.fromisoformat(kept["seen"])
        )
    except (OSError, ValueError, KeyError, TypeError):
        return None
