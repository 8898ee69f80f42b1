"""Two numbers of a dish machine without their labels: "dishwasher one fifty two and one eighty one".

A tank washes cooler than the final rinse is, on every machine with two temperatures: the lower number is the
wash, and both are read back so.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports import take
from assistant.dialogue.reports.fits import reading_of
from assistant.dialogue.reports.mentioned import mentioned
from intents.mentions import READ

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_KIND, _TWO = "dish_machine_hot", 2
_APART, _TOLD = 10, 0.2
"""Degrees, at least, that a final rinse is hotter; and the net's share of a reading (judgement)."""
_AS_ONE = "stationary_single_temperature"
"""The machine that washes and rinses at one temperature."""
_LABELS = "measured_"


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Read back the wash and the final rinse; ``None`` where anything else is told."""
    said, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    numbers = [m for m in said.free_measures if m.kind in READ]
    labelled = any(span.value.startswith(_LABELS) for span in said.concepts)
    if len(numbers) != _TWO or labelled or said.asks or not talk.addressed:
        return None
    names = mentioned(talk, heard, ())
    items = {place.id: place for m in names for t in m.can_be if (place := talk.site.equipment_by_id(t.name))}
    machines = [item for item in items.values() if item.kind == _KIND and item.machine != _AS_ONE]
    one, other = numbers
    told = {i for m in names for i in range(m.start, m.end)} | {*range(other.start, other.end)}
    told |= {*range(one.start, one.end)}
    small = lexicon.small("read_at", "list_joins", "deed_articles", "hesitating", "openers")
    end = other.end if other.end in said.breaks else len(said.words)  # a question may stand behind
    others = any(i not in told and said.words[i] not in small for i in range(end))
    others = others or not {*said.words[one.end : other.start]} <= lexicon.list(
        "list_joins"
    )  # "..., now it's"
    if len(items) != 1 or not machines or others or _told(talk, heard, end) < _TOLD:
        return None
    topic = next(t for m in names for t in m.can_be)
    read = [reading_of(talk, topic, " ".join(said.words[m.start : m.end])) for m in numbers]
    whole = sorted((r for r in read if r is not None), key=lambda r: r.value)
    if len(whole) < _TWO or whole[1].value - whole[0].value < _APART:
        return None
    wash, rinse = (replace(r, measured=of) for r, of in zip(whole, ("wash", "final rinse"), strict=True))
    return recording.confirm(talk, (wash, rinse)) if take.sensible(talk, (wash, rinse)) else None


def _told(talk: Conversation, heard: Heard, end: int) -> float:
    """Return the net's share of a reading for the words up to ``end``."""
    return take.told_share(
        talk.part(heard, range(end)) if end < len(heard.interpretation.heard.words) else heard
    )
