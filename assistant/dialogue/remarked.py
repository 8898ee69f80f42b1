"""Readings of before and now, and of food that may have been cooling or held hot.

"The gravy's down to one twenty and it's been an hour" may be cooling or hot holding: logged, then asked.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.statements import asks
from intents.mentions import Understanding
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the outcome of either kind of report; ``None`` when it is neither."""
    read = heard.interpretation.heard
    if asks(read) or heard.interpretation.readings.options:
        return None
    return _was_and_is(talk, heard, read)


def _was_and_is(talk: Conversation, heard: Heard, read: Understanding) -> Outcome | None:
    """Read back the number of now of "reach-in was forty three when I came in, forty now"."""
    places, numbers = read.names.get("equipment", ()), read.free_measures
    lexicon = talk.interpreter.lexicon
    if len(places) != 1 or read.names.get("food") or len(numbers) < 2 or numbers[0].kind == "duration":
        return None
    first, second = numbers[:2]
    if not lexicon.list("told_before") & set(read.words[: first.start]) or second.kind == "duration":
        return None
    shown_now = lexicon.list("told_now") & set(read.words[first.end :])
    said = " ".join(read.words[second.start : second.end])
    named = talk.interpreter.answer_for("equipment", places[0].value, said).certain if shown_now else ()
    later = all(m.kind == "duration" for m in numbers[2:])
    return recording.confirm(talk, named) if later and len(named) == 1 and _agreed(heard, named) else None


def _agreed(heard: Heard, readings: tuple[Reading, ...]) -> bool:
    """True unless the second listener heard another number."""
    if heard.rival is None:
        return True
    return any(m.value == readings[0].value for m in heard.rival.heard.free_measures)
