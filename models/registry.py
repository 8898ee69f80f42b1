"""Which speech models are on this machine, where, and which one is used when nobody chooses."""

from __future__ import annotations

import hashlib
import json
import os
from dataclasses import dataclass
from pathlib import Path

import platformdirs

from assistant.errors import InputError, MissingError
from intents.language import packs
from models.manifest import ModelEntry, load_manifest, shipped_folder

RECEIPT = "installed.json"
"""Written into a fetched model's folder as the last thing before it appears under its name."""

_PREFERRED = ("vosk", "whisper")  # engines in order: a streaming one first
_STREAMING = ("vosk",)
_BLOCK = 1 << 20


@dataclass(frozen=True)
class ModelStatus:
    """One known model: ``path`` if it can be loaded, else why not in ``note``."""

    entry: ModelEntry
    path: Path | None
    note: str = ""

    @property
    def installed(self) -> bool:
        """Whether it can be loaded."""
        return self.path is not None


def models_folder() -> Path:
    """Return where fetched models live: ``KITCHEN_MODELS`` or the platform's data folder."""
    chosen = os.environ.get("KITCHEN_MODELS", "")
    return Path(chosen) if chosen else Path(platformdirs.user_data_dir("kitchen-assistant")) / "models"


def survey(
    folder: Path | None = None, entries: tuple[ModelEntry, ...] | None = None
) -> tuple[ModelStatus, ...]:
    """Return every known model with its state on this machine."""
    folder = models_folder() if folder is None else folder
    return tuple(status(entry, folder) for entry in (load_manifest() if entries is None else entries))


def status(entry: ModelEntry, folder: Path | None = None) -> ModelStatus:
    """Return the state of one model; nothing is loaded, only the presence of its files is looked at."""
    path = _place(entry, models_folder() if folder is None else folder)
    if not path.is_dir():
        return ModelStatus(entry, None, "not installed")
    if absent := entry.missing_from(path):
        return ModelStatus(entry, None, f"incomplete: {', '.join(absent)} missing")
    if entry.source == "download" and not (path / RECEIPT).is_file():
        return ModelStatus(entry, None, f"not put there by this program: no {RECEIPT}")
    return ModelStatus(entry, path, _receipt_note(path) if entry.source == "download" else "")


def choose(language: str = "en", engine: str | None = None, folder: Path | None = None) -> ModelStatus:
    """Return the installed model to use for a language: of ``engine`` if named, else a streaming one first.

    Raises ``InputError`` for an engine nobody knows, ``MissingError`` if no model fits.
    """
    known = {entry.engine for entry in load_manifest()}
    if engine is not None and engine not in known:
        raise InputError(f"no engine is called '{engine}'; choose one of: {', '.join(sorted(known))}")
    usable = [
        found
        for found in survey(folder)
        if found.installed
        and found.entry.role == "listener"
        and language in found.entry.languages
        and engine in (None, found.entry.engine)
    ]
    if usable:
        return min(usable, key=lambda found: _preference(found, language))
    fitting = [
        e.name
        for e in load_manifest()
        if e.language == language and engine in (None, e.engine) and e.source == "download"
    ]
    fix = f"fetch one with: kitchen models get {fitting[0]}" if fitting else "there is none to fetch"
    named = packs()[language].name if language in packs() else language
    which = f"{named} {engine.capitalize() if engine else 'speech'}"
    if beside := [s.entry for s in survey(folder) if s.installed and engine == s.entry.engine]:
        own = f"'{beside[0].name}' listens along with another model and never decides alone"
        raise MissingError(f"{own}, and no other {which} model is installed; {fix}")
    raise MissingError(f"no {which} model is installed; {fix}")


def partner_of(listener: ModelStatus, folder: Path | None = None, language: str = "") -> ModelStatus | None:
    """Return the installed streaming model that listens along with ``listener``, which cannot stream.

    It has to know ``language`` (none: the listener's own), which the kitchen speaks.
    """
    if listener.entry.engine in _STREAMING:
        return None
    language = language or listener.entry.language
    partners = (s for s in survey(folder) if s.entry.role == "partner" and s.entry.language == language)
    return next((found for found in partners if found.installed), None)


def wrong_files(found: ModelStatus) -> list[str]:
    """Return the model's files whose hash is known and differs: a damaged or exchanged model."""
    if found.path is None:
        return []
    known = {name: value for name, value in found.entry.sha256.items() if name != "archive"}
    return [name for name, value in known.items() if sha256_of(found.path / name) != value]


def sha256_of(path: Path) -> str:
    """Return a file's SHA-256 in hexadecimal, reading a piece at a time."""
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(_BLOCK):
            digest.update(block)
    return digest.hexdigest()


def _place(entry: ModelEntry, folder: Path) -> Path:
    if entry.source == "download":
        return folder / entry.folder
    return shipped_folder() / entry.folder


def _preference(found: ModelStatus, language: str) -> tuple[int, bool, bool, int]:
    engine = found.entry.engine
    rank = _PREFERRED.index(engine) if engine in _PREFERRED else len(_PREFERRED)
    # Of one engine, what was taught kitchen talk goes first, then what knows this language best, then the
    # larger: it was fetched on purpose.
    foreign = found.entry.language != language
    return rank, not found.entry.taught, foreign, -found.entry.size_bytes


def _receipt_note(path: Path) -> str:
    try:
        receipt = json.loads((path / RECEIPT).read_text("utf-8"))
        return "" if receipt["checked"] == "hash" else "checked by size and structure only"
    except (ValueError, KeyError, TypeError, OSError):
        return "its receipt cannot be read"
