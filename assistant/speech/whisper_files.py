"""A Whisper model's files: ``model.bin`` whole, or in parts that a git host takes, joined in memory."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from assistant.audio.openmp import openmp
from assistant.errors import MissingError

_WHOLE = "model.bin"
_BESIDE = ("config.json", "tokenizer.json", "vocabulary.txt")


def parts_of(folder: Path) -> list[Path]:
    """Return the files that ``model.bin`` is made of, in order: itself, or its numbered parts."""
    whole = folder / _WHOLE
    return [whole] if whole.is_file() else sorted(folder.glob(f"{_WHOLE}.[0-9]"))


def opened(folder: Path, **settings: Any) -> Any:
    """Load the model. Raises ``MissingError`` for a folder that lacks a file."""
    parts = parts_of(folder)
    absent = [] if parts else [_WHOLE]
    if absent := absent + [name for name in _BESIDE if not (folder / name).is_file()]:
        raise MissingError(f"the speech model in '{folder}' lacks {', '.join(absent)}; fetch it again")
    # Threads that spin while they wait for each other keep a busy machine from ever ending them.
    with openmp("OMP_WAIT_POLICY", "PASSIVE"):
        import ctranslate2
    if parts[0].name == _WHOLE:
        return ctranslate2.models.Whisper(str(folder), device="cpu", **settings)
    files = {name: (folder / name).read_bytes() for name in _BESIDE}
    files[_WHOLE] = b"".join(part.read_bytes() for part in parts)
    return ctranslate2.models.Whisper(str(folder), device="cpu", files=files, **settings)
