"""What was talked about last: what a number is waited for, and what a statement without its subject is about.

"It's five now" is of the place just asked about, "seventy seven now" of the chicken that was not done. In
"I'm cooling it", "one has no tag" the food is the one named in the breath, else the one spoken of last,
else the only one that failed or whose clock runs. Where two fit, there is none: it is asked.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from typing import Literal

from assistant.dialogue import batches
from assistant.dialogue.candidates import STILL_WAITS, pointed, read_last, waiting
from assistant.dialogue.clocks import batch_readings, name_words, running_clocks
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.gate import fits_place
from assistant.dialogue.judge_food import judge_food
from assistant.dialogue.state import FOLLOW_UP_SECONDS
from assistant.logbook.query import Filter
from assistant.logbook.views import Line
from assistant.rules.basis import Temperature
from intents.lexicon import Span
from intents.mentions import Understanding
from intents.readings import Reading

Kind = Literal["equipment", "food"]
ASPECTS = ("wash", "surface", "rinse", "boiling water", "ice water")
"""What is measured at places where something else is measured, too."""
FOOD_CLOCKS = ("cooling", "thawing", "time")
_WARMER = 1
"""Celsius by which a cooling batch may read warmer than before: another spot of the pan (judgement)."""
_COLDEST, _HOTTEST = Decimal(-5), Decimal(110)
"""Celsius between which food in a pot or a pan is read (judgement)."""


@dataclass(frozen=True, slots=True)
class Topic:
    """A place (``kind`` equipment) or a food, when it was spoken of, and whether its number is due.

    ``batch`` is the entry that began the cooling batch that it is, ``measured`` what was measured there.
    """

    kind: Kind
    name: str
    at: datetime
    waits: bool = False
    batch: int = 0
    measured: str = ""
    least: Decimal | None = None  # Celsius; food on the fire reads no less than before
    food: str = ""  # what the words that name a place in short are, too: "chowder" of the chowder well
    read: tuple[tuple[str, Decimal], ...] = ()  # what was measured there in one breath, each with its Celsius

    def aspect_of(self, celsius: Decimal) -> str:
        """Return what a temperature is of: of a wash and a final rinse read at once the nearer one."""
        nearest = min(self.read, key=lambda each: abs(each[1] - celsius), default=(self.measured, celsius))
        return nearest[0] if len(self.read) > 1 else self.measured


def topics(talk: Conversation) -> tuple[Topic, ...]:
    """Return everything that a number alone can be of, what was spoken of last first, each once."""
    found: dict[tuple[str, str, int], Topic] = {}
    every = (*_asked_about(talk), *_of_entries(talk), *_read_back(talk), *_cooling(talk), *_open(talk))
    for each in sorted(every, key=lambda topic: (topic.at, topic.waits), reverse=True):
        known = found.get(key := (each.kind, each.name, each.batch))
        if known is None or (each.waits and not known.waits):
            found[key] = each if known is None else replace(each, at=known.at)
        elif each.at == known.at and each.waits == known.waits:
            measured, read = known.measured or each.measured, (*known.read, *each.read)
            found[key] = replace(known, measured=measured, read=read)
    running = [set(topic.name.split()) for topic in found.values() if topic.batch]
    return tuple(
        topic
        for topic in found.values()
        if topic.batch or not any(set(topic.name.split()) <= names for names in running)
    )


def can_be(talk: Conversation, topic: Topic, reading: Reading) -> bool:
    """True when the number makes sense for what it would be of."""
    if topic.kind == "equipment":
        return fits_place(reading, {topic.name: talk.site.kind_of(topic.name)})
    celsius = celsius_of(talk, reading)
    if reading.quantity != "temperature" or not _COLDEST <= celsius <= _HOTTEST:
        return False
    if not topic.batch:
        return topic.least is None or celsius >= topic.least
    clock = next((c for c in batches.cooling(talk, talk.clock.now()) if c.entry_id == topic.batch), None)
    before = batch_readings(talk.log.views, clock, talk.site.profile) if clock is not None else []
    last = max(before, key=lambda each: each.hours, default=None)
    read_yet = last is not None and last.hours > 0
    return not read_yet or last is None or celsius <= last.temperature.in_unit("C") + _WARMER


def celsius_of(talk: Conversation, reading: Reading) -> Decimal:
    """Return a temperature in Celsius; a number without a unit is in the kitchen's."""
    unit = reading.unit or talk.site.kitchen.units
    return _in_celsius(Temperature(reading.value, "C" if unit == "C" else "F"))


def _in_celsius(temperature: Temperature) -> Decimal:
    value = temperature.in_unit("C")
    return Decimal(value.numerator) / Decimal(value.denominator)


def _of_entries(talk: Conversation) -> Iterator[Topic]:
    """Give what was logged last: a fail, food not done and a deed wait for a number, a pass does not."""
    for line in talk.last_lines:
        if line.withdrawn or line.now.measured in FOOD_CLOCKS or line.entry.kind == "not_taken":
            continue
        at, now = told_at(line), talk.clock.now()
        on_the_fire = _on_the_fire(talk, line)
        of_place = bool(talk.site.kind_of(line.now.subject)) or line.now.refers_to is not None
        if line.entry.kind == "event" and not (of_place or line.now.item):
            continue  # a note of nothing that is read
        deed = line.entry.kind in ("event", "clock") and of_place
        waits = (deed or on_the_fire is not None) and now - at <= STILL_WAITS
        if waits or talk.state.recent(now):
            yield replace(_topic(talk, line, at, waits=waits), least=on_the_fire)


def _read_back(talk: Conversation) -> Iterator[Topic]:
    """Give what was read back and not yet confirmed: its number may be told again, what failed waits."""
    asked = talk.state.pending
    if asked is not None and asked.kind == "confirm":
        yield from (Topic("equipment", place, asked.asked_at) for place in asked.unnumbered if place)
    for line in reversed(waiting(talk)):
        yield _topic(talk, line, told_at(line), waits=line.open)


def _on_the_fire(talk: Conversation, line: Line) -> Decimal | None:
    """Return what food that is not done yet read, in Celsius; ``None`` for anything else."""
    if line.entry.kind != "reading" or line.now.verdict != "cannot judge" or line.now.value is None:
        return None
    read = Temperature(Decimal(line.now.value), "C" if line.now.unit == "C" else "F")
    judged = judge_food(line.now.item, read, talk.site.profile) if line.now.item else None
    cooking = judged is not None and judged[0] == "cook"
    return _read(line) - _WARMER if cooking else None


def _asked_about(talk: Conversation) -> Iterator[Topic]:
    """Give the one place and the one food named last, in whatever turn, and the last question's place."""
    state, now = talk.state, talk.clock.now()
    request = state.last_request if state.recent(now) else None
    asked = (request.about or request.slots.places) if request is not None else ()
    for kind, names, at in (
        ("food", state.spoken_foods, state.foods_at),
        ("equipment", state.spoken_places, state.places_at),
        ("equipment", asked, state.last_at),
    ):
        known = len(names) == 1 and at is not None and now - at <= STILL_WAITS
        if known and at is not None and (kind == "food" or talk.site.kind_of(names[0])):
            measured = state.spoken_aspect if names is state.spoken_places else ""
            yield Topic("food" if kind == "food" else "equipment", names[0], at, measured=measured)


def _cooling(talk: Conversation) -> Iterator[Topic]:
    """Give the batches that cool, each since it was read last."""
    for clock in batches.cooling(talk, talk.clock.now()):
        wanted = Filter(kinds=("reading",), measured="cooling", subject=clock.subject, standing_only=True)
        line = talk.log.views.latest(wanted)
        at = max(clock.start, told_at(line)) if line is not None else clock.start
        yield Topic("food", clock.food, at, True, clock.entry_id)


def _open(talk: Conversation) -> Iterator[Topic]:
    """Give what failed a while ago and has not passed since."""
    for line in talk.log.views.open_actions():
        if talk.clock.now() - told_at(line) <= STILL_WAITS and line.entry.measured not in FOOD_CLOCKS:
            yield _topic(talk, line, told_at(line), waits=True)


def _topic(talk: Conversation, line: Line, at: datetime, *, waits: bool) -> Topic:
    place = bool(talk.site.kind_of(line.now.subject))
    name = line.now.subject if place else line.now.item or line.now.subject
    measured = aspect(line.now.measured) if place else ""
    last = line if line.entry.kind == "reading" else None
    read = ((measured, _read(last)),) if place and last is not None and last.now.unit in ("F", "C") else ()
    return Topic("equipment" if place else "food", name, at, waits, measured=measured, read=read)


def _read(line: Line) -> Decimal:
    """Return the temperature of a reading, in Celsius."""
    return _in_celsius(Temperature(Decimal(line.now.value or 0), "C" if line.now.unit == "C" else "F"))


def aspect(measured: str) -> str:
    """Return what was measured where it tells the reading from another of the same place, else nothing."""
    return measured if measured in ASPECTS else ""


def told_at(line: Line) -> datetime:
    """Return when an entry was made."""
    return datetime.fromisoformat(line.entry.at_local)


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
    foods = [line for line in read_last(talk) if line.now.item]
    if not named and read is not None and len(foods) > 1:
        named = {line.now.item for line in pointed(talk, read, foods)}  # "two litres of the first"
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
