"""CTranslate2's file of a converted model, read and written as named arrays (its format version 6)."""

from __future__ import annotations

import struct
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from assistant.errors import MissingError

Array = npt.NDArray[Any]
_KINDS: tuple[type[np.generic], ...] = (np.float32, np.int8, np.int16, np.int32, np.float16)
_VERSION = 6


@dataclass(frozen=True)
class Converted:
    """A model's arrays by name, and the names that only point to another array."""

    spec: str
    revision: int
    arrays: Mapping[str, Array]
    aliases: tuple[tuple[str, str], ...] = ()

    def with_arrays(self, arrays: Mapping[str, Array]) -> Converted:
        """Return the same model with these arrays."""
        return replace(self, arrays=arrays)

    def to_bytes(self) -> bytes:
        """Return the file's content."""
        parts = [
            struct.pack("<I", _VERSION),
            _text(self.spec),
            struct.pack("<II", self.revision, len(self.arrays)),
        ]
        for name, array in self.arrays.items():
            kind = _KINDS.index(array.dtype.type)
            head = struct.pack(f"<B{array.ndim}IBI", array.ndim, *array.shape, kind, array.nbytes)
            parts += [_text(name), head, array.tobytes()]
        parts.append(struct.pack("<I", len(self.aliases)))
        parts += [_text(name) + _text(target) for name, target in self.aliases]
        return b"".join(parts)


class _Reader:
    def __init__(self, data: bytes) -> None:
        self.data, self.at = data, 0

    def numbers(self, form: str) -> tuple[int, ...]:
        found = struct.unpack_from("<" + form, self.data, self.at)
        self.at += struct.calcsize("<" + form)
        return found

    def text(self) -> str:
        (size,) = self.numbers("H")
        self.at += size
        return self.data[self.at - size : self.at - 1].decode()

    def array(self) -> Array:
        (rank,) = self.numbers("B")
        *shape, kind, size = self.numbers(f"{rank}IBI")
        self.at += size
        count = size // np.dtype(_KINDS[kind]).itemsize
        return np.frombuffer(self.data, _KINDS[kind], count, self.at - size).reshape(shape)


def read_converted(path: Path) -> Converted:
    """Read a ``model.bin``. Raises ``MissingError`` if it is not of the known form."""
    return parse_converted(path.read_bytes(), str(path))


def parse_converted(data: bytes, name: str = "in memory") -> Converted:
    """Read the content of a ``model.bin``; ``name`` is what an error calls it. Raises ``MissingError``."""
    reader = _Reader(data)
    try:
        (version,) = reader.numbers("I")
        if version != _VERSION:
            raise ValueError(version)
        spec = reader.text()
        revision, count = reader.numbers("II")
        arrays = {reader.text(): reader.array() for _ in range(count)}
        (aliases,) = reader.numbers("I")
        named = tuple((reader.text(), reader.text()) for _ in range(aliases))
    except (struct.error, ValueError, IndexError, UnicodeDecodeError):
        raise MissingError(
            f"the speech model '{name}' is damaged or of an unknown form; fetch it again"
        ) from None
    return Converted(spec, revision, arrays, named)


def _text(text: str) -> bytes:
    encoded = text.encode() + b"\0"
    return struct.pack("<H", len(encoded)) + encoded
