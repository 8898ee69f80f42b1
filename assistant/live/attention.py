"""Whether an utterance is meant for the assistant: wake phrase, foot switch, or a follow-up in time."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.dialogue.wake import strip_wake


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

    def awake(self, at: float) -> bool:
        """True while no wake phrase is needed."""
        return at < self._until

    def wake(self, at: float) -> None:
        """Somebody said the wake phrase alone, or pressed the switch."""
        self._until = max(self._until, at + self._settings.woken_s)

    def answered(self, at: float, asks: bool) -> None:
        """An answer has just been spoken; a question of ours keeps it open longer."""
        self._until = at + (self._settings.asked_s if asks else self._settings.follow_up_s)

    def sleep(self) -> None:
        """Close at once (after "stop")."""
        self._until = 0.0

    def addressed(self, text: str, began: float) -> tuple[bool, str, bool]:
        """Return whether ``text``, begun at ``began``, is meant, its rest, and if the phrase was there."""
        rest, found = strip_wake(text, self.phrase)
        return found or self.awake(began), rest, found
