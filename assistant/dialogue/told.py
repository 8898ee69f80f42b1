"""Reports in words that the reading grammar does not know, each kind asked in turn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue import (
    cooling_begun,  # noqa: F401  (registers what it handles)
    implied,
    since_when,
    strip_on,
    wrong_place,
)
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the outcome of the first kind of report that fits; ``None`` when none does."""
    return (
        strip_on.report(talk, heard)
        or implied.report(talk, heard)
        or wrong_place.instead(talk, heard)
        or since_when.unasked(talk, heard)
        or implied.unsure(talk, heard)
    )
