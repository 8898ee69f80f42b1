"""One utterance: the plain value that sound becomes before anybody listens to it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

RATE = 16_000
"""Samples a second everywhere inside the program; other rates exist only at the edges."""

Samples = NDArray[np.int16]
"""Mono sound: shape (n,), 16-bit, ``RATE`` samples a second unless a function says otherwise."""


@dataclass(frozen=True, eq=False)
class Utterance:
    """Mono 16 kHz sound, when it was said (aware, or None if unknown) and where it came from."""

    samples: Samples
    said_at: datetime | None = None
    source: str = ""

    def __post_init__(self) -> None:
        if self.samples.ndim != 1 or self.samples.dtype != np.int16:
            raise TypeError("an utterance holds one row of 16-bit samples")
        if self.said_at is not None and self.said_at.tzinfo is None:
            raise ValueError("an utterance's time needs its zone")

    @property
    def seconds(self) -> float:
        """Its length in seconds."""
        return len(self.samples) / RATE

    def with_samples(self, samples: Samples) -> Utterance:
        """Return a copy that holds ``samples`` instead."""
        return replace(self, samples=samples)


def empty() -> Samples:
    """Return no sound."""
    return np.zeros(0, np.int16)


def to_samples(frames: bytes | Samples) -> Samples:
    """Return ``frames`` as samples; bytes are 16-bit little endian. Raises ValueError on an odd count."""
    if isinstance(frames, bytes):
        return np.frombuffer(frames, "<i2").astype(np.int16, copy=False)
    if frames.dtype != np.int16 or frames.ndim != 1:
        raise ValueError("frames are one row of 16-bit samples")
    return frames
