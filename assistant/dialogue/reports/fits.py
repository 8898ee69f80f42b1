"""What a number can be of: what reads so much, and of that what the talk is about.

What the round asks for, what waits for a number and what was spoken of last decide, in this order; what was
named just now goes before all that has waited longer.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

from assistant.dialogue import round_talk
from assistant.dialogue.state import FOLLOW_UP_SECONDS
from assistant.dialogue.topic import Topic, can_be, celsius_of, topics
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

Fits = tuple[tuple[Topic, Reading], ...]
JUST_NOW = timedelta(seconds=FOLLOW_UP_SECONDS)
_TWO = 2
_OF_STRIPS = frozenset({"quat_word", "chlorine_word", "iodine_word", "strip_word"})
"""Concepts of what is read on a strip, and never of food."""


def unnamed(talk: Conversation, said: tuple[str, ...]) -> tuple[Topic, ...]:
    """Return what a number of nothing named can be of: the place that a round asks for, else the talk's.

    "It's up to one fifty, empty" and "quat two hundred" are ``said`` of no food.
    """
    if waits_for_another(talk):
        place = talk.state.asked_place
        at = talk.state.asked_at or talk.clock.now()
        return (Topic("equipment", place, at),) if talk.site.kind_of(place) else ()
    lexicon = talk.interpreter.lexicon
    empty = lexicon.list("holds_nothing") & {*said}
    empty |= {span.value for span in lexicon.finder.find_all(said)} & _OF_STRIPS
    return tuple(t for t in topics(talk) if not (empty and t.kind == "food"))


def waits_for_another(talk: Conversation) -> bool:
    """True where a round asks for its next place: a number of nothing named is of that one."""
    running = round_talk.running(talk)
    return bool(talk.state.asked_place) or (running is not None and not running.paused)


def waits_for_number(talk: Conversation) -> tuple[str, ...] | None:
    """Return the places that wait for their number beside a read-back; ``None`` where none is read back."""
    waiting = talk.state.pending
    if waiting is None or waiting.kind != "confirm" or not waiting.readings:
        return None
    told = {reading.subject for reading in waiting.readings}
    return tuple(
        place for place in (talk.state.asked_place, *waiting.unnumbered) if place and place not in told
    )


def can_read(talk: Conversation, can: tuple[Topic, ...], words: str) -> Fits:
    """Return those of which the number can be read, with the reading; of a food where its place cannot be."""
    read = ((topic, reading_of(talk, topic, words)) for topic in can)
    found = tuple((t, r) for t, r in read if r is not None and can_be(talk, t, r))
    foods = tuple(Topic("food", topic.food, topic.at) for topic in can if topic.food)
    return can_read(talk, foods, words) if foods and not found else found


def reading_of(talk: Conversation, topic: Topic, words: str) -> Reading | None:
    """Return the reading of a topic that the words of a number tell, if they tell just one."""
    found = talk.interpreter.answer_for(topic.kind, topic.name, words).certain
    if len(found) != 1:
        return None
    hot_or_cold = found[0].quantity == "temperature"
    measured = topic.aspect_of(celsius_of(talk, found[0])) if hot_or_cold else ""
    return replace(found[0], batch=topic.batch, measured=found[0].measured or measured)


def only_topic(talk: Conversation, said: tuple[str, ...], words: str) -> Topic | None:
    """Return what a number of nothing named is of, if that is one thing."""
    fits = likeliest(talk, can_read(talk, unnamed(talk, said), words), named=False)
    return fits[0][0] if len(fits) == 1 else None


def likeliest(talk: Conversation, fits: Fits, *, named: bool) -> Fits:
    """Return those that the talk is about: asked for in the round, waiting for a number, spoken of last."""
    if len(fits) < _TWO:
        return fits
    asked = tuple(f for f in fits if f[0].name == talk.state.asked_place)
    if asked:
        return asked[:1]
    known = topics(talk)
    waits = tuple(f for f in fits if any(_same(f[0], t) for t in known if t.waits))
    if waits and (named or not _named_since(talk, known, waits)):
        return waits
    here = round_talk.running(talk)
    if here is not None and (left := tuple(f for f in fits if f[0].name in here.left)):
        return left[:1] if not named else left
    last = sorted(
        (next((i for i, t in enumerate(known) if _same(f[0], t)), len(known)), n) for n, f in enumerate(fits)
    )
    best = last[0][0]
    if best == len(known):
        return fits if named else ()
    return (fits[last[0][1]],)


def _named_since(talk: Conversation, known: tuple[Topic, ...], waits: Fits) -> bool:
    """True where something else was named just now, after all that waits for a number."""
    last, now = known[0], talk.clock.now()
    return now - last.at <= JUST_NOW and all(last.at > topic.at for topic, _ in waits)


def waiting(talk: Conversation) -> list[Topic]:
    return [topic for topic in topics(talk) if topic.waits]


def _same(one: Topic, other: Topic) -> bool:
    return (one.kind, one.name, one.batch) == (other.kind, other.name, other.batch)
