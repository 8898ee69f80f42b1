"""What one turn of talk came to: what was heard, what is said back, what was logged."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from assistant.logbook.entry import Entry
from assistant.rules.basis import Verdict


class Turn(BaseModel):
    """One exchange, ready to show, speak or print as JSON.

    ``reply`` has digits and units, ``speech`` the words for the voice. ``asks`` is true while the
    assistant waits for an answer. An empty reply means that nothing is said (silence, chatter).
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    heard: str
    confidence: float
    alternatives: tuple[str, ...] = ()
    intent: str | None = None
    slots: dict[str, Any] = {}
    reply: str = ""
    speech: str = ""
    asks: bool = False
    verdict: Literal["pass", "fail"] | None = None
    entries: tuple[Entry, ...] = ()
    sources: tuple[dict[str, str], ...] = ()
    engine: str = "typed"
    timings_ms: dict[str, float] = {}
    language: str = "en"
    play: tuple[str, ...] = ()  # clips to play after the reply
    volume: float = 1.0  # of the voice, as a factor of its usual one
    speed: float = 1.0
    nothing: bool = Field(default=False, exclude=True)  # all that is said is that it was not understood
    explained: tuple[str, ...] = ()  # how it was understood and what decided, a line each

    @property
    def silent(self) -> bool:
        """True when nothing was understood as meant for the assistant."""
        return not self.reply


def pass_or_fail(verdict: Verdict | None) -> Literal["pass", "fail"] | None:
    """Return a verdict as a turn shows it: one that cannot be given shows nothing."""
    if verdict is Verdict.PASS:
        return "pass"
    return "fail" if verdict is Verdict.FAIL else None
