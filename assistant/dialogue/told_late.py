"""A number told later with its time, in words that no report reads: read back, and never logged as missed.

"Amit told me the walk-in at seven thirty was thirty eight"; "put it, four celsius, at ten thirty". Whether it
may still be entered is ruled as for any report (``reports/said_at.py``).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue.answer import Request, answer_function
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.talking import talks

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

BACKDATE = "backdate"


@talks(BACKDATE)
def missed(talk: Conversation, request: Request) -> Outcome | None:
    """Read back what was measured; "exactly" is no yes to a note of what was missed that nobody offered."""
    waiting = talk.state.pending
    if waiting is not None and waiting.request is not None and waiting.request.intent == BACKDATE:
        return None
    slots, function = request.slots, answer_function(BACKDATE)
    if function is None:
        return None
    plain = replace(request, slots=replace(slots, heard=None, concepts=slots.concepts - {"yes", "no"}))
    return Outcome(function(plain), BACKDATE, plain)
