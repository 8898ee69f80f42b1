"""Whether words heard so far are, as they stand, what the conversation waits for.

A reader of single sentences takes "yes", "two gallons" and "and the turkey" for pieces of something longer.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue import leaning, pending, round_talk
from assistant.dialogue.hearing import Heard
from assistant.dialogue.pending import STRONG
from assistant.dialogue.slots import Slots
from assistant.dialogue.small_talk import ALONE
from intents.interpret import Interpretation

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

MAY_OPEN = ("no", "scratch", "stop")
"""Concepts with which a correction begins ("no, thirty nine"): alone they may be its first word."""


def awaited(talk: Conversation, read: Interpretation) -> bool:
    """Tell whether ``read`` answers an open question, a round's place, or follows up on the last answer."""
    now = talk.clock.now()
    if not read.heard.words or read.heard.has(*MAY_OPEN):
        return False
    heard = Heard(read, read.heard.text, agreement=1.0, typed=False)
    if talk.state.pending is not None and pending.answer(talk, heard, now) is not None:
        return True
    if talk.state.asked_at is not None and round_talk.answered(talk, heard) is not None:
        return True
    if talk.state.last_request is None or not talk.state.recent(now):
        return False
    if leaning.goes_on(talk, read, Slots.of(read.heard)):
        return True
    return read.best is not None and read.best.intent in ALONE and read.best.share >= STRONG
