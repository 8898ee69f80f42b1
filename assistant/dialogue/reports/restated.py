"""Reports in short form, read as if said in full: the ways to fill in what the cook left out, in order.

Only what reads as nothing by itself is filled in. Each way returns the utterance as it is to be read, or
``None``; the words that are kept with an entry stay those that were heard.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports import of_batches

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

READ = (of_batches.readings_of,)
"""Ways that tell the readings themselves."""


def report(talk: Conversation, heard: Heard) -> tuple[Heard, Outcome] | None:
    """Return the utterance as the first way that fits reads it, and what is done, or ``None``."""
    if not heard.interpretation.heard.words:
        return None
    found = next((found for way in READ if (found := way(talk, heard)) is not None), None)
    return None if found is None else (found, recording.report(talk, found))
