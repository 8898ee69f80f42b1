"""Whether an utterance is meant for the assistant: wake phrase, foot switch, or a follow-up in time.

What follows a call has to come from as near as the call did, and two turns that come to nothing close the
window: then it is others who talk.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from assistant.dialogue.wake import strip_wake
from intents.hypotheses import Hypotheses

FAR_DB = 8.0
"""So much softer than the call, it is somebody else, or said to somebody else: six decibels are twice the
distance. Measured in tests/benchmarks/live.md."""
MOST_FRUITLESS = 2


@dataclass(frozen=True)
class AttentionSettings:
    """Seconds for which it listens on without the wake phrase: after an answer, and after being woken."""

    follow_up_s: float = 8.0
    asked_s: float = 15.0
    woken_s: float = 8.0


class Attention:
    """Open for a short while after it was addressed. Times are monotonic seconds."""

    def __init__(self, wake_phrase: str, settings: AttentionSettings | None = None) -> None:
        self.phrase = wake_phrase
        self._settings = settings or AttentionSettings()
        self._until = 0.0
        self._fruitless = 0
        self._called_db: float | None = None  # how loud the call was, where there was one
        self._others = False  # talked on in the call or in what was said since

    def awake(self, at: float) -> bool:
        """True while no wake phrase is needed."""
        return at < self._until

    def wake(self, at: float) -> None:
        """Somebody said the wake phrase alone, or pressed the switch."""
        self._fruitless = 0
        self._until = max(self._until, at + self._settings.woken_s)

    def answered(self, at: float, asks: bool) -> None:
        """An answer has just been spoken; a question of ours keeps it open longer."""
        if self._fruitless < MOST_FRUITLESS:
            self._until = at + (self._settings.asked_s if asks else self._settings.follow_up_s)

    def called(self, loudness_db: float | None) -> None:
        """Somebody called, so loud; None: by the switch, from wherever."""
        self._called_db = loudness_db
        self._fruitless = 0
        self._others = False

    def near(self, loudness_db: float) -> bool:
        """True when what was said without the phrase may come from whoever called."""
        return self._called_db is None or loudness_db >= self._called_db - FAR_DB

    def among(self, hypotheses: Hypotheses, others: bool, found: bool) -> Hypotheses:
        """Mark what was said without the phrase (not ``found``) where others talk on or did before."""
        before, self._others = self._others and not found, self._others or others
        return replace(hypotheses, crowded=others and not found, others_before=before)

    def came_to(self, *, something: bool) -> None:
        """Count what a turn without the phrase came to, and close after too many that came to nothing."""
        self._fruitless = 0 if something else self._fruitless + 1
        if self._fruitless >= MOST_FRUITLESS:
            self.sleep()

    def sleep(self) -> None:
        """Close at once (after "stop")."""
        self._until = 0.0

    def addressed(self, text: str, began: float) -> tuple[bool, str, bool]:
        """Return whether ``text``, begun at ``began``, is meant, its rest, and if the phrase was there."""
        rest, found = strip_wake(text, self.phrase)
        return found or self.awake(began), rest, found
