"""The list of speech models that exist, read from ``manifest.toml``."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, StringConstraints, model_validator

from assistant.errors import InputError

Flag = Literal["READ", "MEMORY", "PRACTICE"]
_Name = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9._-]{0,80}$")]
_Sha256 = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]


class ModelEntry(BaseModel):
    """One speech model. ``size_bytes`` is the download's size, or the files' together when it is shipped.

    ``sha256`` maps a file's name to its hash: the archive under ``archive``, or the model's own files.
    ``needs`` lists the files without which it must not be loaded. A ``partner`` listens along with another
    or when it is asked for by name; it never becomes the default, so it never decides a number alone.
    One that is ``taught`` knows kitchen talk: it needs no hints, hears in short windows, and is preferred.
    ``also`` are other languages that it hears without being told which one is spoken.
    With ``own_phrases`` its graph holds the kitchen's phrases already, so that none are given to it.
    """

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)

    name: _Name
    engine: str
    language: str
    title: str
    source: Literal["shipped", "download"]
    folder: str
    needs: list[str]
    license: str
    license_flag: Flag
    size_bytes: int
    size_flag: Flag
    role: Literal["listener", "partner"] = "listener"
    own_phrases: bool = False
    taught: bool = False
    also: list[str] = []
    address: str = ""
    sha256: dict[str, _Sha256] = {}

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if self.source == "download" and not self.address:
            raise ValueError(f"the model '{self.name}' needs the address it is published at")
        return self

    @property
    def languages(self) -> tuple[str, ...]:
        """Every language that it hears, its own first."""
        return (self.language, *self.also)

    @property
    def archive_sha256(self) -> str:
        """The hash of the archive, or nothing if it is not known."""
        return self.sha256.get("archive", "")

    def missing_from(self, folder: Path) -> list[str]:
        """Return the needed files that ``folder`` lacks or holds empty."""
        return [name for name in self.needs if not _filled(folder / name)]


def _filled(path: Path) -> bool:
    return path.is_file() and path.stat().st_size > 0


@cache
def load_manifest() -> tuple[ModelEntry, ...]:
    """Return all known models, the embedded one first."""
    return parse_manifest((files("models") / "manifest.toml").read_text("utf-8"))


def parse_manifest(text: str) -> tuple[ModelEntry, ...]:
    """Read a manifest's text. Raises ``ValueError`` (of pydantic or tomllib) for a wrong one."""
    return tuple(ModelEntry.model_validate(entry) for entry in tomllib.loads(text)["model"])


def find_entry(name: str, entries: tuple[ModelEntry, ...] | None = None) -> ModelEntry:
    """Return the model called ``name``. Raises ``InputError`` that lists the names that exist."""
    entries = load_manifest() if entries is None else entries
    for entry in entries:
        if entry.name == name:
            return entry
    raise InputError(
        f"no speech model is called '{name}'; choose one of: {', '.join(e.name for e in entries)}"
    )


def shipped_folder() -> Path:
    """Return the folder of this package, below which shipped models lie."""
    return Path(__file__).parent
