"""What is done once a night by itself: a backup where one is set, its head, and a check of the whole log."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from assistant.errors import KitchenError
from assistant.logbook.backup import backup
from assistant.logbook.care import load_care
from assistant.logbook.verify import verify


@dataclass(frozen=True, slots=True)
class Night:
    """What one night's work came to; ``fault`` is a sentence, or ''."""

    done: bool
    fault: str = ""
    mended: tuple[str, ...] = ()


def nightly(folder: Path, now: datetime, *, site_file: Path | None = None, force: bool = False) -> Night:
    """Make the night's backup if it is due and not made yet (or with ``force``), and check log and copy."""
    try:
        care = load_care(folder)
        if not (care.backup_is_due(now) or (force and care.backup_to)):
            return Night(done=False)
        mended: list[str] = []
        backup(folder, Path(care.backup_to), now, site_file=site_file, mended=mended)
        first = verify(folder, care.heads()).first
    except (KitchenError, OSError) as error:
        return Night(done=False, fault=f"the night's backup was not made: {error}")
    return Night(done=True, fault=first.text if first else "", mended=tuple(mended))
