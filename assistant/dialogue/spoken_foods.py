"""The foods spoken of last: what "tossed it" and "moved it" are about."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue.hearing import Heard
from assistant.dialogue.state import State
from assistant.logbook.entry import Entry
from intents.words import tokenise

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation


def kept(talk: Conversation, heard: Heard, entries: Iterable[Entry]) -> State:
    """Return the state with the foods of an answered turn; "beer thirty seven" may be the beer cooler's."""
    of_places = {word for name, _ in talk.site.spoken_equipment() for word in tokenise(name)}
    logged = tuple(entry.item for entry in entries if entry.item and ", " not in entry.item)
    named = tuple(span.value for span in heard.interpretation.heard.names.get("food", ()))
    named = tuple(food for food in named if food in logged or not set(food.split()) <= of_places)
    foods = tuple(dict.fromkeys(named or logged))
    return replace(talk.state, spoken_foods=foods, foods_at=talk.clock.now()) if foods else talk.state
