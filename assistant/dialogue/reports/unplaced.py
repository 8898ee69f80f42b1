"""A number told to the assistant without its place: it is kept, and the place is asked for."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.answer import Answer
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.mentioned import mentioned
from assistant.dialogue.reports.said_at import when
from assistant.dialogue.reports.whose import numbers_told, reading_of, times_told
from assistant.dialogue.say import fill, worded
from assistant.dialogue.state import Pending
from assistant.dialogue.topic import STILL_WAITS, Topic, can_be
from assistant.dialogue.unknown_place import unknown_name

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from assistant.site import Site
    from intents.readings import Reading


def which_place(talk: Conversation, heard: Heard) -> Outcome | None:
    """Ask which place reads "it's back down to thirty nine"; ``None`` where not just one number was told."""
    if not talk.addressed:
        return None
    way = next((w for w in times_told(talk, heard) if all(t.part == "at" for t in w)), None)
    if way is None or (named := mentioned(talk, heard, way)):
        return None
    numbers = numbers_told(talk, heard, way, named)
    at = when(next(iter(way), None), talk.clock.now())
    if numbers is None or len(numbers) != 1 or at.kind not in ("now", "told"):
        return None
    words = " ".join(heard.interpretation.heard.words[numbers[0].start : numbers[0].end])
    now, options = talk.clock.now(), []
    name = unknown_name(talk, heard)
    if not name and (spoken := _spoken_of(talk, words)) is not None:
        return recording.confirm(talk, (replace(spoken, said_at=at.iso),))
    for place in _each(talk.site):
        topic = Topic("equipment", place, now)
        reading = reading_of(talk, topic, words)
        if reading is not None and can_be(talk, topic, reading):
            options.append((replace(reading, said_at=at.iso),))
    if not options:
        return None
    value = f"{numbers[0].value:f}"
    reply, slots = ("no_such_place", {"place": name}) if name else ("which_place_reads", {"value": value})
    text = fill(talk.catalogue[recording.READING].replies[reply], worded(slots, talk.catalogue))
    waiting = Pending("choose", now, options=tuple(options))
    return Outcome(Answer("say_again"), recording.READING, text=text, pending=waiting)


def _spoken_of(talk: Conversation, words: str) -> Reading | None:
    """Return the number as one of the one food that the talk was of a while ago, to be read back."""
    foods, at, now = talk.state.spoken_foods, talk.state.foods_at, talk.clock.now()
    if len(foods) != 1 or at is None or now - at > STILL_WAITS:
        return None
    topic = Topic("food", foods[0], at)
    reading = reading_of(talk, topic, words)
    return reading if reading is not None and can_be(talk, topic, reading) else None


def _each(site: Site) -> list[str]:
    """Return every place that has readings of its own."""
    return [
        place
        for item in site.places
        for place in ([f"{item.id} {n}" for n in item.numbers] if item.numbers else [item.id])
    ]
