"""Install a speech model from its published address or from a file, whole or not at all."""

from __future__ import annotations

import json
import os
import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from assistant.errors import InputError, KitchenError, in_words
from models.download import FetchError, download
from models.manifest import ModelEntry, load_manifest
from models.registry import RECEIPT, ModelStatus, models_folder, sha256_of, status
from models.unpack import BadArchiveError, copy_folder, unpack_zip

_WORK = ".fetching"
_SLACK = 0.25  # published sizes are rounded
_ROOM = 4  # disk space needed, in archive sizes: the archive and what it unpacks to
_STALE_S = 120.0  # a lock nobody touched for so long was left behind by a crash


@dataclass(frozen=True)
class Progress:
    """``stage`` is download, check, unpack or copy; ``total`` is 0 while it is not known."""

    stage: str
    done: int
    total: int


Report = Callable[[Progress], None]


def fetch(entry: ModelEntry, folder: Path | None = None, report: Report | None = None) -> ModelStatus:
    """Fetch and install ``entry``; an installed one is left alone.

    Raises ``InputError`` for a model that is not fetched or not what the manifest promises,
    ``FetchError`` when the line breaks (run it again to go on), ``KitchenError`` for a full disk.
    """
    folder = models_folder() if folder is None else folder
    if entry.source != "download":
        raise InputError(f"the model '{entry.name}' comes with the program; there is nothing to fetch")
    if (found := status(entry, folder)).installed:
        return found
    with _working(folder, entry.name, report) as (work, tell):
        archive = work / f"{entry.name}.zip.part"
        _check_room(work, entry.size_bytes * _ROOM)
        most = int(entry.size_bytes * (1 + _SLACK))
        download(entry.address, archive, most, lambda done, total: tell(Progress("download", done, total)))
        try:
            checked = _check_archive(entry, archive, tell)
            _install(entry, archive, folder, work, checked, tell)
        except InputError:
            archive.unlink()  # a wrong file must not be gone on with
            raise
        archive.unlink()
    return _installed(entry, folder)


def install_from(
    source: Path, folder: Path | None = None, name: str | None = None, report: Report | None = None
) -> ModelStatus:
    """Install a model from a ZIP file or an unpacked folder, for instance on a stick.

    ``name`` says which model it is; without it the file's or folder's name must say so.
    """
    folder = models_folder() if folder is None else folder
    if not source.exists():
        raise InputError(f"there is no file or folder '{source}'; check the name")
    entry = _which(source, name)
    if (found := status(entry, folder)).installed:
        return found
    with _working(folder, entry.name, report) as (work, tell):
        checked = "structure"
        if source.is_file():
            _check_room(work, source.stat().st_size * (_ROOM - 1))
            checked = _check_archive(entry, source, tell)
        _install(entry, source, folder, work, checked, tell)
    return _installed(entry, folder)


def _which(source: Path, name: str | None) -> ModelEntry:
    fetched = [entry for entry in load_manifest() if entry.source == "download"]
    for entry in fetched:
        if name == entry.name or (name is None and source.name in (entry.folder, f"{entry.folder}.zip")):
            return entry
    names = ", ".join(entry.name for entry in fetched)
    raise InputError(f"'{name or source.name}' names no known speech model; say which it is, one of: {names}")


def _check_archive(entry: ModelEntry, archive: Path, tell: Report) -> str:
    """Return how the archive was checked: ``hash`` if its hash is known, else ``size``."""
    size = archive.stat().st_size
    tell(Progress("check", 0, size))
    if abs(size - entry.size_bytes) > entry.size_bytes * _SLACK:
        raise BadArchiveError(
            f"the archive of '{entry.name}' has {size / 1e6:.1f} MB, not about {entry.size_bytes / 1e6:.0f}; "
            "it is refused"
        )
    if entry.archive_sha256 and sha256_of(archive) != entry.archive_sha256:
        raise BadArchiveError(f"the archive of '{entry.name}' has the wrong checksum; it is refused")
    tell(Progress("check", size, size))
    return "hash" if entry.archive_sha256 else "size"


def _install(entry: ModelEntry, source: Path, folder: Path, work: Path, checked: str, tell: Report) -> None:
    """Unpack beside, check, write the receipt, and only then let it appear under its name."""
    fresh = work / f"{entry.name}.new"
    shutil.rmtree(fresh, ignore_errors=True)
    fresh.mkdir()
    try:
        if source.is_dir():
            tell(Progress("copy", 0, 0))
            model = copy_folder(source, fresh)
        else:
            model = unpack_zip(source, fresh, lambda done, total: tell(Progress("unpack", done, total)))
        absent = entry.missing_from(model)
        if absent:
            raise BadArchiveError(f"'{source.name}' is no such model: {', '.join(absent)} missing")
        receipt = {"name": entry.name, "checked": checked, "at_utc": datetime.now(UTC).isoformat()}
        (model / RECEIPT).write_text(json.dumps(receipt), "utf-8")
        _flush(model)
        target = folder / entry.folder
        if target.exists():
            shutil.rmtree(target)  # incomplete, or ``status`` would have found it
        model.replace(target)
    except OSError as fault:
        raise KitchenError(
            f"the model '{entry.name}' cannot be written to '{folder}' ({in_words(fault)}); make room"
        ) from None
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def _installed(entry: ModelEntry, folder: Path) -> ModelStatus:
    found = status(entry, folder)
    if not found.installed:
        raise FetchError(f"the model '{entry.name}' did not arrive ({found.note}); run it again")
    return found


@contextmanager
def _working(folder: Path, name: str, report: Report | None) -> Iterator[tuple[Path, Report]]:
    """Hold the lock on one model's installation; every progress report renews it."""
    work = folder / _WORK
    try:
        work.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise KitchenError(
            f"the folder '{folder}' cannot be written ({in_words(fault)}); choose another"
        ) from None
    lock = work / f"{name}.lock"
    if lock.exists() and time.time() - lock.stat().st_mtime > _STALE_S:
        lock.unlink(missing_ok=True)
    try:
        lock.touch(exist_ok=False)
    except FileExistsError:
        raise KitchenError(f"another program is installing '{name}' just now; wait for it") from None

    def tell(progress: Progress) -> None:
        lock.touch()
        if report is not None:
            report(progress)

    try:
        yield work, tell
    finally:
        lock.unlink(missing_ok=True)


def _check_room(folder: Path, needed: int) -> None:
    free = shutil.disk_usage(folder).free
    if free < needed:
        raise KitchenError(
            f"the disk of '{folder}' has {free / 1e6:.0f} MB free, not {needed / 1e6:.0f}; make room"
        )


def _flush(folder: Path) -> None:
    """Bring all files to the disk before the name appears, so that a power cut leaves no half model."""
    for path in folder.rglob("*"):
        if path.is_file():
            with path.open("rb+") as file:
                os.fsync(file.fileno())
