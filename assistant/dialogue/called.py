"""Readings that may as well be an order called out: "dessert forty two", "chicken forty five out"."""

from __future__ import annotations

from assistant.dialogue.hearing import Heard
from intents.lexicon import Lexicon
from intents.readings import Reading


def may_be_order(heard: Heard, readings: tuple[Reading, ...], lexicon: Lexicon, *, in_short: bool) -> bool:
    """True for one bare number after nothing but a word that is called at the pass, too.

    Such is also a place ``in_short``, overheard: "salad four" of the salad fridge, or four salads.
    """
    words = heard.interpretation.heard.words
    numbers = heard.interpretation.heard.measures
    if len(readings) != 1 or len(numbers) != 1 or numbers[0].kind != "number" or not words:
        return False
    number = numbers[0]
    alone = number.start == 1 and number.end == len(words)
    if number.value != int(number.value):
        return False
    if alone and (in_short or words[0] in lexicon.list("called_names")):
        return True
    handed = number.end == len(words) - 1 and words[-1] in lexicon.list("called_last")
    return handed and readings[0].subject_kind == "food"
