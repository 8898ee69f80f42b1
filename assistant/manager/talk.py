"""What the page needs of a conversation: typed words go the same road as spoken ones. Given from above."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from assistant.site import Site


@dataclass(frozen=True, slots=True)
class Exchange:
    """What was typed, what came back ('' for silence), the numbers of the entries made, and if it asks."""

    said: str
    reply: str
    entries: tuple[int, ...] = ()
    asks: bool = False


class Talk(Protocol):
    """Conversations over the log of this machine, one a browser."""

    def say(self, browser: str, person: str, words: str) -> Exchange:
        """Take one typed turn; ``person`` ('' if not known) is who is signed in on the page.

        Raises ``LogWriteError`` where it cannot be logged.
        """
        ...

    def before(self, browser: str) -> Sequence[Exchange]:
        """Return this browser's last turns, the newest first."""
        ...

    def try_words(self, site: Site, sentences: Sequence[str]) -> list[Exchange]:
        """Say sentences to a kitchen that is not in force, over an empty log that is thrown away."""
        ...
