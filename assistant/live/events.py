"""What the live loop tells whoever watches: plain values for the view, the tests and the benchmark."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from assistant.dialogue.turn import Turn

State = Literal["sleeping", "listening", "hearing", "thinking", "speaking", "no microphone", "log fault"]
Reason = Literal["not addressed", "too long", "gap", "nothing heard", "from afar"]


@dataclass(frozen=True)
class StateChanged:
    """The loop is in another state; ``note`` is a sentence for a person, if there is one to say."""

    state: State
    note: str = ""


@dataclass(frozen=True)
class Level:
    """The microphone's level now, 0 to 1."""

    level: float


@dataclass(frozen=True)
class Ignored:
    """Speech that was not meant for the assistant; nothing of it is kept."""

    reason: Reason


@dataclass(frozen=True)
class Answered:
    """One turn, with the milliseconds from the end of speech to each step."""

    turn: Turn
    timings_ms: dict[str, float]


Event = StateChanged | Level | Ignored | Answered
