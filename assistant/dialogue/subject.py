"""What a statement without its subject is about: the one place that says how it attaches to what was told.

"So I'm cooling it", "forty racks, they're in the can", "one of them has no tag": the food is the one named in
the breath, else the one spoken of last, else the only one that failed or whose clock runs. Where two fit,
there is none: it is asked.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from assistant.dialogue.clocks import name_words, running_clocks
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.state import FOLLOW_UP_SECONDS
from assistant.dialogue.topic import STILL_WAITS
from intents.lexicon import Span
from intents.mentions import Understanding


@dataclass(frozen=True, slots=True)
class Subject:
    """A food that is told of. ``inferred``: not named of late, so that what is logged of it is read back."""

    food: str
    at: datetime
    inferred: bool = False


def named_before(talk: Conversation, read: Understanding, verb: int) -> list[Span]:
    """Return the foods that "it" can be: no "binned it, and the quinoa goes in staff lunch"."""
    joints, named = talk.interpreter.lexicon.list("deed_joints"), read.names.get("food", ())
    return [s for s in named if s.start < verb or not joints & {*read.words[verb : s.start]}]


def food_meant(talk: Conversation, read: Understanding | None = None, verb: int = 0) -> str:
    """Return the food that a statement is about: named in the breath, spoken of last, failed, or running."""
    named = {span.value for span in named_before(talk, read, verb)} if read is not None else set()
    if found := named or {*talk.state.foods(talk.clock.now())}:
        return next(iter(found)) if len(found) == 1 else ""
    failed = {line.entry.item for line in talk.log.views.open_actions() if line.entry.item}
    clocks = running_clocks(talk.log.views, talk.clock.now())
    failed = failed or {clock.food for clock in clocks if clock.kind in ("cooling", "time")}
    return next(iter(failed)) if len(failed) == 1 else ""


def told_of(talk: Conversation) -> Subject | None:
    """Return the one food that a story may go on about, though it was not named for a while."""
    state, now = talk.state, talk.clock.now()
    if len(state.spoken_foods) != 1 or state.foods_at is None or now - state.foods_at > STILL_WAITS:
        return None
    long_ago = (now - state.foods_at).total_seconds() > FOLLOW_UP_SECONDS
    return Subject(state.spoken_foods[0], state.foods_at, inferred=long_ago)


def whole_name(talk: Conversation, food: str) -> str:
    """Return "fish dip" for "the dip" where that was spoken of lately."""
    spoken = talk.state.foods(talk.clock.now())
    return next((each for each in spoken if set(food.split()) < set(each.split())), food)


def without_short(foods: tuple[str, ...]) -> tuple[str, ...]:
    """Return the foods, each once, without those named again in more words: "pie" beside "key lime pie"."""
    each = tuple(dict.fromkeys(foods))
    return tuple(food for food in each if not any(name_words(food) < name_words(other) for other in each))
