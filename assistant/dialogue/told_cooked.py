"""Reports of what food was cooked to, in words that the reading grammar does not know.

"Cooked the chicken to one sixty five" is logged and judged as the reading "chicken, one sixty five" is.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.gate import doubles
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.statements import measured
from assistant.rules.food_names import find_food
from intents.lexicon import load_lexicon
from intents.meaning import Guess
from intents.mentions import Measure, Understanding
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_DONE, _COOLING, _READING = "cook_done", "cooling_check", "reading"
_COOKED, _COOKED_AFTER = "cooked ", " cooked"
_SECONDS = {"second": 1, "minute": 60, "hour": 3600}
_COLDEST, _HOTTEST = Decimal(90), Decimal(250)
"""Fahrenheit; outside of these a number was not said of food on the fire: judgement."""


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the outcome of one food's cooking temperature told as done; ``None`` for anything else."""
    read = heard.interpretation
    foods = read.heard.names.get("food", ())
    measured_so = _told(read.heard)
    if len(foods) != 1 or measured_so is None or read.heard.names.get("equipment"):
        return None
    number, held_s = measured_so
    if not _all_of_cooking(read.best):
        return None
    name = foods[0].value.removeprefix(_COOKED).removesuffix(_COOKED_AFTER)
    food = find_food(name)
    told = read.best is None or read.best.intent == _READING
    cooked_now = food is not None and (food.raw_animal or told)
    if not cooked_now or read.heard.has("reheat", "microwave"):
        return None
    unit = number.unit or talk.site.kitchen.units
    hot = number.value * 9 / 5 + 32 if unit == "C" else number.value
    if not _COLDEST <= hot <= _HOTTEST:
        return None
    reading = Reading(name, "food", number.value, "temperature", unit, "food", held_s=held_s)
    if held_s is not None and not heard.typed and doubles(held_s):
        return recording.confirm(talk, (reading,))  # fifteen seconds may have been fifty
    whole = replace(read, readings=replace(read.readings, options=((reading,),)))
    return recording.take(talk, (reading,), replace(heard, interpretation=whole))


def _all_of_cooking(best: Guess | None) -> bool:
    return best is not None and best.intent in (_DONE, _READING)


def _told(heard: Understanding) -> tuple[Measure, Decimal | None] | None:
    """Return the one temperature said, and for how many seconds it was held, if that was said too."""
    measures = heard.free_measures
    numbers = [m for m in measures if m.kind in ("number", "temperature")]
    times = [m for m in measures if m.kind == "duration" and m.unit in _SECONDS]
    if len(numbers) != 1 or len(times) > 1 or len(numbers) + len(times) != len(measures):
        return None
    if any(len(m.options) != 1 for m in measures) or not measured(heard, numbers[0]):
        return None
    if times and heard.words[times[0].start - 1] not in load_lexicon(heard.language).list("held_for"):
        return None  # "got to 95 in two hours" tells of cooling
    held = times[0].value * _SECONDS[times[0].unit] if times else None
    return numbers[0], held
