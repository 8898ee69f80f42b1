"""A sign of life beside the log, so that the page can tell when nobody listens."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from assistant.live.events import Event, StateChanged
from assistant.logbook.listening import Ear, note_listening

EVERY_S = 60.0


class SignOfLife:
    """Passes every event on, and notes once a minute, and at each change, whether there is a microphone."""

    def __init__(
        self,
        folder: Path,
        now: Callable[[], datetime],
        watch: Callable[[Event], None],
        elapsed: Callable[[], float] = time.monotonic,
    ) -> None:
        """``now`` is the log's clock, ``elapsed`` steady seconds."""
        self._folder, self._now, self._watch, self._elapsed = folder, now, watch, elapsed
        self._state: Ear = "listening"
        self._since = now()
        self._noted = float("-inf")

    def __call__(self, event: Event) -> None:
        """Take an event."""
        state: Ear = self._state
        if isinstance(event, StateChanged):
            state = "no microphone" if event.state == "no microphone" else "listening"
        if state != self._state:
            self._state, self._since = state, self._now()
            self._note()
        elif self._elapsed() - self._noted >= EVERY_S:
            self._note()
        self._watch(event)

    def stop(self) -> None:
        """Note that it was stopped on purpose."""
        self._state, self._since = "stopped", self._now()
        self._note()

    def _note(self) -> None:
        self._noted = self._elapsed()
        note_listening(self._folder, self._state, self._since, self._now())
