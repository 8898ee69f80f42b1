"""A reading told through what showed it: "my probe says forty three in the reach-in"."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.statements import asks
from intents.readings import ReadingParse

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Take what the gauge showed as the reading of the place named after it; ``None`` without one."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    if heard.interpretation.readings.options or asks(read):
        return None
    gauge = next((i for i, word in enumerate(read.words) if word in lexicon.list("gauges")), None)
    if gauge is None or any(word not in lexicon.links for word in read.words[:gauge]):
        return None
    if read.words[gauge + 1 : gauge + 2] and read.words[gauge + 1] not in lexicon.list("gauge_shows"):
        return None
    readings = talk.interpreter.interpret(" ".join(read.words[gauge + 2 :])).readings.certain
    if not readings:
        return None
    whole = replace(heard.interpretation, readings=ReadingParse((readings,)))
    return recording.report(talk, replace(heard, interpretation=whole))
