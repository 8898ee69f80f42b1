"""Reports of what food was cooked to, in words that the reading grammar does not know.

"Cooked the chicken to one sixty five" is logged and judged as the reading "chicken, one sixty five" is.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.statements import measured
from assistant.rules.food_names import find_food
from intents.mentions import Measure, Understanding
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_DONE = "cook_done"
_COOKED = "cooked "
_COLDEST, _HOTTEST = Decimal(90), Decimal(250)
"""Fahrenheit; outside of these a number was not said of food on the fire: judgement."""


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the outcome of one food's cooking temperature told as done; ``None`` for anything else."""
    read = heard.interpretation
    best, foods = read.best, read.heard.names.get("food", ())
    if best is None or best.intent.name != _DONE or best.left_over or len(foods) != 1:
        return None
    number = _only_number(read.heard)
    if number is None or read.heard.names.get("equipment"):
        return None
    food = find_food(foods[0].value.removeprefix(_COOKED))
    if food is None or not food.raw_animal or read.heard.has("reheat", "microwave"):
        return None
    unit = number.unit or talk.site.kitchen.units
    hot = number.value * 9 / 5 + 32 if unit == "C" else number.value
    if not _COLDEST <= hot <= _HOTTEST:
        return None
    name = foods[0].value.removeprefix(_COOKED)
    reading = Reading(name, "food", number.value, "temperature", unit, "food")
    whole = replace(read, readings=replace(read.readings, options=((reading,),)))
    return recording.take(talk, (reading,), replace(heard, interpretation=whole))


def _only_number(heard: Understanding) -> Measure | None:
    """Return the one number said, if it means one temperature and the words lead up to it."""
    measures = heard.free_measures
    if (
        len(measures) != 1
        or len(measures[0].options) != 1
        or measures[0].kind not in ("number", "temperature")
    ):
        return None
    return measures[0] if measured(heard, measures[0]) else None
