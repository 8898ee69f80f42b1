"""How long food was at its temperature: held on the fire for seconds, or warm for so long that it may cool.

"Burger one fifty five for seventeen seconds" is judged with its time. "The gravy's down to one twenty and
it's been an hour" may be cooling or hot holding: it is logged, and asked.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.dialogue.reports.core import Readings, Report
from assistant.rules.basis import Temperature
from assistant.rules.food_names import find_food
from intents.interpret import Interpretation
from intents.quantities import Span

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_OF_COOKING = ("reading", "cook_done")
_ELSE = ("reheat", "microwave", "save_word", "cool", "cooling_is", "still_cooling", "missed_cool", "ice_bath")
"""Concepts of food that is reheated or surely cools: its time is for the answer."""
_TOLD = 0.5
_ON_THE_FIRE = (90, 250)
"""Fahrenheit; outside of these nothing was held at a temperature to be done: judgement."""
_STILL_WARM = 95
"""Fahrenheit; from here to the hot holding limit warm food may cool or be held: judgement."""


def lasting(talk: Conversation, read: Interpretation, each: Report) -> Readings | None:
    """Return the reading of one food with how long it was so; ``None`` where its time is for an answer."""
    told, meant = each.since, read.best
    if told is None or not isinstance(told.meaning, Span) or len(each.told) != 1 or len(each.options) != 1:
        return None
    if meant is None or meant.intent not in _OF_COOKING or read.heard.has(*_ELSE):
        return None
    readings = each.options[0]
    if len(readings) != 1 or readings[0].subject_kind != "food" or readings[0].place:
        return None
    if read.meaning.share_of("tell", "answer") < _TOLD:
        return None
    reading, lexicon = readings[0], talk.interpreter.lexicon
    unit = reading.unit or talk.site.kitchen.units
    hot = Temperature(reading.value, "C" if unit == "C" else "F").in_unit("F")
    before = set(read.heard.words[max(0, told.start - 1) : told.end])
    if before & lexicon.list("held_for"):
        food = find_food(reading.subject)
        cooked = food is not None and _ON_THE_FIRE[0] <= hot <= _ON_THE_FIRE[1]
        minutes = told.meaning.minutes[0]
        seconds = Decimal(minutes.numerator * 60) / Decimal(minutes.denominator)
        return (replace(reading, held_s=seconds),) if cooked else None
    limit = talk.site.profile.limit("hot_holding_min")
    holding = Temperature(limit.value, "C" if limit.unit == "C" else "F").in_unit("F")
    return (replace(reading, kept=True),) if _STILL_WARM < hot < holding else None
