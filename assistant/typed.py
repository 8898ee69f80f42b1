"""Typed turns for the manager's page: one conversation a browser, over this machine's log."""

from __future__ import annotations

import tempfile
import threading
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from assistant.dialogue.conversation import Conversation, interpreter_for
from assistant.logbook.clock import Clock
from assistant.logbook.store import Logbook
from assistant.manager.talk import Exchange
from assistant.site import Site
from intents.hypotheses import Hypotheses
from intents.interpret import Interpreter

MOST_BROWSERS = 30
KEPT = 6
"""Turns of a browser that are shown again."""


@dataclass
class _Browser:
    talk: Conversation
    turns: deque[Exchange] = field(default_factory=lambda: deque(maxlen=KEPT))


class TypedTalk:
    """See ``assistant.manager.talk.Talk``. ``now`` gives the kitchen and the clock in force."""

    def __init__(self, folder: Path, now: Callable[[], tuple[Site, Clock]]) -> None:
        """Open nothing yet."""
        self._folder = folder
        self._now = now
        self._lock = threading.Lock()
        self._browsers: dict[str, _Browser] = {}
        self._site: Site | None = None
        self._interpreter: Interpreter | None = None
        self._log: Logbook | None = None

    def say(self, browser: str, person: str, words: str) -> Exchange:
        """Take one typed turn."""
        with self._lock:
            each = self._of(browser)
            talk = each.talk
            if person and talk.state.person != person:
                talk.state = replace(talk.state, person=person, signed_in_at=talk.clock.now())
            turn = talk.hear(Hypotheses.typed(words))
            done = Exchange(words, turn.reply, tuple(entry.id for entry in turn.entries), turn.asks)
            each.turns.appendleft(done)
            return done

    def before(self, browser: str) -> Sequence[Exchange]:
        """Return this browser's last turns, the newest first."""
        known = self._browsers.get(browser)
        return tuple(known.turns) if known else ()

    def try_words(self, site: Site, sentences: Sequence[str]) -> list[Exchange]:
        """Say sentences to another kitchen."""
        _, clock = self._now()
        interpreter = interpreter_for(site)
        found = []
        with tempfile.TemporaryDirectory() as folder, Logbook.open(folder, site="try", clock=clock) as log:
            for words in sentences:
                turn = Conversation(site, log, clock, interpreter).hear(Hypotheses.typed(words))
                found.append(Exchange(words, turn.reply, tuple(entry.id for entry in turn.entries)))
        return found

    def _of(self, browser: str) -> _Browser:
        """Return a browser's conversation; all begin anew when the kitchen was set up otherwise."""
        site, clock = self._now()
        if site is not self._site or self._log is None:
            if self._log is not None:
                self._log.close()
            self._log = Logbook.open(self._folder, site=site.kitchen.name, clock=clock)
            self._site, self._interpreter = site, interpreter_for(site)
            self._browsers = {
                name: _Browser(Conversation(site, self._log, clock, self._interpreter), each.turns)
                for name, each in self._browsers.items()
            }
        if browser not in self._browsers:
            while len(self._browsers) >= MOST_BROWSERS:
                del self._browsers[next(iter(self._browsers))]
            self._browsers[browser] = _Browser(Conversation(site, self._log, clock, self._interpreter))
        self._browsers[browser] = self._browsers.pop(browser)  # the newest last
        return self._browsers[browser]
