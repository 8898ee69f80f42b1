"""The gate that keeps the program from hearing itself: frames from while it speaks are dropped."""

from __future__ import annotations

from assistant.audio.frames import Block
from assistant.audio.utterance import RATE

TAIL_S = 0.35
"""How long after the last sample the room and the devices still give it back (common practice, no source)."""


class HalfDuplexGate:
    """Told when the voice begins and ends (monotonic seconds), it passes or drops blocks by their time."""

    def __init__(self, tail_s: float = TAIL_S) -> None:
        self._tail_s = tail_s
        self._began: float | None = None
        self._ended: float | None = None
        self.dropped_s = 0.0

    def speaking_began(self, at: float) -> None:
        """The first sample goes to the speaker now; call it just before."""
        self._began, self._ended = at, None

    def speaking_ended(self, at: float) -> None:
        """The last sample has sounded, or was cut off."""
        if self._began is not None:
            self._ended = max(at, self._began)

    def open(self) -> None:
        """Pass everything from now on, without waiting for the tail."""
        self._began = self._ended = None

    def closed_at(self, at: float) -> bool:
        """Whether what the microphone gives at this time may be our own voice."""
        if self._began is None or at < self._began:
            return False
        return self._ended is None or at < self._ended + self._tail_s

    def passes(self, block: Block) -> bool:
        """Whether no part of ``block`` was captured while the gate was closed."""
        start = block.at - len(block.samples) / RATE
        open_ = not (self.closed_at(block.at) or self.closed_at(start) or self._between(start, block.at))
        if not open_:
            self.dropped_s += len(block.samples) / RATE
        return open_

    def _between(self, start: float, end: float) -> bool:
        return self._began is not None and start < self._began < end
