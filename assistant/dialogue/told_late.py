"""A number told later with its time, in words that no report reads: read back, and never logged as missed.

"Amit told me the walk-in at seven thirty was thirty eight"; "put it, four celsius, at ten thirty". Whether it
may still be entered is ruled as for any report (``reports/said_at.py``).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.answer import Request, answer_function
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.fits import reading_of
from assistant.dialogue.reports.said_at import when
from assistant.dialogue.reports.times import ways
from assistant.dialogue.talking import talks
from assistant.dialogue.topic import Topic, can_be, topics
from intents.mentions import READ, Understanding

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from intents.meaning import Meaning

BACKDATE = "backdate"


@talks(BACKDATE)
def missed(talk: Conversation, request: Request) -> Outcome | None:
    """Read back what was measured; "exactly" is no yes to a note of what was missed that nobody offered."""
    waiting = talk.state.pending
    if waiting is not None and waiting.request is not None and waiting.request.intent == BACKDATE:
        return None
    slots, function = request.slots, answer_function(BACKDATE)
    told = report(talk, slots.heard, slots.meaning) if slots.heard is not None else None
    if told is not None or function is None:
        return told
    plain = replace(request, slots=replace(slots, heard=None, concepts=slots.concepts - {"yes", "no"}))
    return Outcome(function(plain), BACKDATE, plain)


def report(talk: Conversation, heard: Understanding, meaning: Meaning | None) -> Outcome | None:
    """Read back the one number that was told with its time; ``None`` for anything else."""
    if heard.asks or not talk.addressed or meaning is None:
        return None
    now = talk.clock.now()
    for way in ways(heard, talk.interpreter.lexicon, meaning.roles):
        at = when(next((told for told in way if told.part == "at"), None), now)
        timed = {i for told in way for i in told.words}
        numbers = [m for m in heard.free_measures if m.kind in READ and not timed & {*range(m.start, m.end)}]
        if at.kind != "told" or len(numbers) != 1:
            continue
        words = " ".join(heard.words[numbers[0].start : numbers[0].end])
        read = ((topic, reading_of(talk, topic, words)) for topic in _topics(talk, heard))
        found = next((r for topic, r in read if r is not None and can_be(talk, topic, r)), None)
        if found is not None:
            return recording.confirm(talk, (replace(found, said_at=at.iso),))
    return None


def _topics(talk: Conversation, heard: Understanding) -> tuple[Topic, ...]:
    """Return the one place named, else the one food, else what was spoken of, the last first."""
    now = talk.clock.now()
    places, foods = ({span.value for span in heard.names.get(kind, ())} for kind in ("equipment", "food"))
    if places or foods:
        named = places or foods
        return (Topic("equipment" if places else "food", named.pop(), now),) if len(named) == 1 else ()
    return topics(talk)
