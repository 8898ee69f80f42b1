"""Where frames come from: one protocol for microphones and for files, and a source made from samples."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from typing import Protocol

from assistant.audio.utterance import RATE, Samples


@dataclass(frozen=True, eq=False)
class Block:
    """Mono 16 kHz samples that arrived together. ``at``: monotonic time at the block's end, in seconds.

    ``lost`` counts the gaps just before it: whatever was being said then is not whole.
    """

    samples: Samples
    at: float
    lost: int = 0


class SourceState(Enum):
    """Whether frames can be expected."""

    RUNNING = "running"
    LOST = "lost"  # the device is gone; it is looked for again
    ENDED = "ended"  # no more will come


class FrameSource(Protocol):
    """Gives blocks in order to one reader. Losing the device is a state, not an exception."""

    @property
    def state(self) -> SourceState:
        """Whether frames can be expected."""

    @property
    def problem(self) -> str:
        """One sentence for a person while frames do not come; else empty."""

    def start(self) -> None:
        """Begin to capture."""

    def read(self, timeout_s: float) -> Block | None:
        """Return the next block, or None if none came in time."""

    def close(self) -> None:
        """End the capture."""


class SampleSource:
    """Samples as if they came from a microphone, in real time or as fast as they are read.

    ``gaps`` names blocks (by number) that are preceded by a loss, to try out what follows from it.
    """

    problem = ""

    def __init__(
        self,
        samples: Samples,
        real_time: bool = False,
        block: int = RATE * 3 // 100,
        gaps: frozenset[int] = frozenset(),
        clock: Callable[[], float] = time.monotonic,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self._samples = samples
        self._real_time = real_time
        self._block = block
        self._gaps = gaps
        self._clock = clock
        self._sleep = sleep
        self._at = 0
        self._began = clock()

    @property
    def state(self) -> SourceState:
        """Running until the samples are used up."""
        return SourceState.RUNNING if self._at < len(self._samples) else SourceState.ENDED

    def start(self) -> None:
        """Begin at the first sample."""
        self._at = 0
        self._began = self._clock()

    def read(self, timeout_s: float) -> Block | None:
        """Return the next block; in real time not before it would have been spoken."""
        if self.state is SourceState.ENDED:
            return None
        number = self._at // self._block
        samples = self._samples[self._at : self._at + self._block]
        due = self._began + (self._at + len(samples)) / RATE
        if self._real_time and (wait := due - self._clock()) > 0:
            self._sleep(min(wait, timeout_s))
            if wait > timeout_s:
                return None
        self._at += len(samples)
        return Block(samples, due, int(number in self._gaps))

    def close(self) -> None:
        """Give nothing more."""
        self._at = len(self._samples)
