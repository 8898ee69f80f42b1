"""The kept sound: one FLAC file an utterance, on the disk before the entry that names it."""

from __future__ import annotations

import hashlib
import io
import os
from datetime import datetime
from pathlib import Path, PurePosixPath

import numpy as np
import numpy.typing as npt

from assistant.errors import InputError
from assistant.logbook.entry import Clip
from assistant.logbook.troubles import explained

FOLDER_NAME = "clips"
OWNER_ONLY = 0o600
"""The mode of every file here: names, words and voices are nobody else's business on this machine."""
_BLOCK = 1 << 20


def save_clip(folder: Path, samples: npt.NDArray[np.int16], rate: int, said: datetime) -> Clip:
    """Write mono 16-bit ``samples`` (shape ``(n,)``) at ``rate`` Hz below ``folder`` (the clips folder).

    The file is complete and flushed before it gets its name, so a clip that an entry names is whole; one
    without an entry (the power went in between) does no harm. Raises ``InputError`` for other sound,
    ``LogWriteError`` when the disk refuses.
    """
    if samples.dtype != np.int16 or samples.ndim != 1 or samples.size == 0 or rate <= 0:
        raise InputError("a clip is kept as 16-bit mono sound with at least one sample")
    import soundfile  # takes a while to load, and most commands keep no sound

    buffer = io.BytesIO()
    soundfile.write(buffer, samples, rate, format="FLAC", subtype="PCM_16")
    content = buffer.getvalue()
    sha256 = hashlib.sha256(content).hexdigest()
    name = f"{said:%Y-%m-%d}/{said:%H%M%S-%f}-{sha256[:12]}.flac"
    with explained(folder):
        write_whole(folder / name, content)
    return Clip(path=name, sha256=sha256)


def clip_path(folder: Path, clip: Clip) -> Path:
    """Return where a clip lies; raises ``InputError`` for a path that leaves the clips folder."""
    parts = PurePosixPath(clip.path).parts
    if not parts or ".." in parts or "\\" in clip.path or ":" in clip.path or parts[0] == "/":
        raise InputError(f"the clip path '{clip.path}' leaves the clips folder: the log was altered")
    return folder.joinpath(*parts)


def hash_file(path: Path) -> str:
    """Return the SHA-256 (hex) of a file's bytes."""
    total = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(_BLOCK):
            total.update(block)
    return total.hexdigest()


def write_whole(path: Path, content: bytes) -> None:
    """Write a file so that it is either all there, even after a power cut, or not there at all."""
    make_folder(path.parent)
    unfinished = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with os.fdopen(os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, OWNER_ONLY), "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.replace(unfinished, path)
    except BaseException:
        unfinished.unlink(missing_ok=True)
        raise
    flush_folder(path.parent)
    flush_folder(path.parent.parent)


def make_folder(folder: Path) -> None:
    """Make a folder and those above it that are missing, for the owner alone to look into."""
    missing = [each for each in (folder, *folder.parents) if not each.exists()]
    for each in reversed(missing):
        each.mkdir(mode=0o700, exist_ok=True)


def flush_folder(folder: Path) -> None:
    """Make the names in ``folder`` durable, where the system can (not on Windows)."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
