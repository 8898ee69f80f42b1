"""Whether the log can be written just now, and facts about the disk and database under it."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from assistant.errors import KitchenError
from assistant.logbook.database import FILE_NAME, Database
from assistant.logbook.troubles import explain

FULL_BYTES = 2 * 2**20
"""With less free space than this a turn with its clip may not fit."""
LOW_BYTES = 200 * 2**20
"""About two weeks of clips: time to make room."""
_MOUNTS = Path("/proc/self/mountinfo")
_NETWORK = {"nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "fuse.sshfs", "afs", "ceph", "glusterfs"}


@dataclass(frozen=True, slots=True)
class Health:
    """``troubles`` stop the log from being written or trusted; ``warnings`` soon may. Empty is well."""

    troubles: tuple[str, ...]
    warnings: tuple[str, ...]
    free_bytes: int
    sqlite_version: str


def health(folder: Path | str) -> Health:
    """Look at the log in ``folder`` (writes nothing); for the page's banner and for ``doctor``."""
    folder = Path(folder)
    existing = next(path for path in (folder.absolute(), *folder.absolute().parents) if path.exists())
    free = shutil.disk_usage(existing).free
    troubles, warnings = _space(folder, free), []
    if (folder / FILE_NAME).is_file():
        troubles += _state(folder / FILE_NAME)
    kind = file_system(existing)
    if kind in _NETWORK:
        warnings.append(f"the log lies on a network disk ({kind}): move it to a disk of this machine")
    if FULL_BYTES <= free < LOW_BYTES:
        warnings.append(f"only {free // 2**20} MiB are free for the log and its clips: make room soon")
    return Health(tuple(troubles), tuple(warnings), free, sqlite3.sqlite_version)


def file_system(path: Path, mounts: Path = _MOUNTS) -> str:
    """Return the kind of file system that holds ``path`` ('' where the system does not tell)."""
    if not mounts.is_file():
        return ""
    found: dict[str, str] = {}
    for line in mounts.read_text(encoding="utf-8", errors="replace").splitlines():
        before, _, after = line.partition(" - ")
        found[before.split()[4].replace("\\040", " ")] = after.split()[0]
    resolved = path.resolve()
    return next((found[str(each)] for each in (resolved, *resolved.parents) if str(each) in found), "")


def _space(folder: Path, free: int) -> list[str]:
    if free >= FULL_BYTES:
        return []
    return [f"the disk is full, nothing can be logged in {folder}: free some space"]


def _state(path: Path) -> list[str]:
    try:
        with closing(Database(path, writable=False)) as database:
            altered = database.shape_faults()
            newest = database.rows("SELECT body FROM entries ORDER BY id DESC LIMIT 1")
        _try_lock(path)
    except KitchenError as error:
        return [str(error)]
    troubles = [f"the log is not built as this program builds it: {', '.join(altered)}"] if altered else []
    if newest and b'"clock_suspect":true' in newest[0][0]:
        troubles.append("the clock was in doubt at the newest entry: check this machine's date and time")
    return troubles


def _try_lock(path: Path) -> None:
    try:
        with closing(
            sqlite3.connect(f"{path.resolve().as_uri()}?mode=rw", uri=True, timeout=2)
        ) as connection:
            connection.isolation_level = None
            connection.execute("BEGIN IMMEDIATE")
            connection.execute("ROLLBACK")
    except sqlite3.Error as error:
        raise explain(error, path) from error
