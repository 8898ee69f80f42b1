"""Intents that act on the conversation itself: they see its memory and may change it.

An answer of ``assistant.dialogue.answers`` is a pure function of its request; these are not, so they are
registered apart. A function that returns ``None`` leaves the intent to its answer.
"""

from __future__ import annotations

from collections.abc import Callable

from assistant.dialogue.answer import Request
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.outcome import Outcome

TalkFunction = Callable[["Conversation", Request], Outcome | None]
_FUNCTIONS: dict[str, TalkFunction] = {}


def talks(*intents: str) -> Callable[[TalkFunction], TalkFunction]:
    """Register a function as the one that handles ``intents`` within a conversation."""

    def register(function: TalkFunction) -> TalkFunction:
        for intent in intents:
            if intent in _FUNCTIONS:
                raise ValueError(f"two functions handle '{intent}'")
            _FUNCTIONS[intent] = function
        return function

    return register


def talk_function(intent: str) -> TalkFunction | None:
    """Return the function registered for ``intent``, if any."""
    return _FUNCTIONS.get(intent)
