"""The whole road after the ear, for the benchmark: a fresh conversation and an empty log a trial."""

from __future__ import annotations

import tempfile
from datetime import UTC, datetime
from pathlib import Path

from assistant.dialogue.conversation import Conversation, interpreter_for
from assistant.dialogue.turn import Turn
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.site import load_site
from intents.hypotheses import Hypotheses

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
_MEMORY = Path("/dev/shm")


class FreshRoad:
    """Calls give the last turn of a conversation of its own in the example kitchen, at noon, log empty."""

    def __init__(self) -> None:
        self._site = load_site()
        self._interpreter = interpreter_for(self._site)
        self.interpret = self._interpreter.interpret

    def __call__(self, before: tuple[str, ...], hypotheses: Hypotheses) -> Turn:
        """Say ``before`` typed, then let ``hypotheses`` be heard."""
        clock = SetClock(NOON)
        # In memory where the system has such a folder: a log a trial would wear a disk for nothing.
        place = _MEMORY if _MEMORY.is_dir() else None
        with (
            tempfile.TemporaryDirectory(dir=place) as folder,
            Logbook.open(folder, site=self._site.kitchen.name, clock=clock) as log,
        ):
            conversation = Conversation(self._site, log, clock, self._interpreter)
            for words in before:
                conversation.hear(Hypotheses.typed(words))
            return conversation.hear(hypotheses)
