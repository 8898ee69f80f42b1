"""Each intent's own examples are understood as that intent, with the slots they name."""

from __future__ import annotations

import pytest

from assistant.dialogue.slots import Slots
from intents.catalogue import Example, Intent, load_catalogue
from intents.interpret import Interpreter

CATALOGUE = load_catalogue("en")
EXAMPLES = [
    pytest.param(intent.name, example, id=f"{intent.name}: {example.say}")
    for intent in CATALOGUE.intents.values()
    for example in intent.examples
]
APART = frozenset({"reading", "correction"})
"""Intents whose examples are read by exact grammars."""


@pytest.mark.parametrize(("name", "example"), EXAMPLES)
def test_example_matches_its_intent(name: str, example: Example, interpreter: Interpreter) -> None:
    """An example said alone is understood as its own intent, with the slots it names."""
    read = interpreter.interpret(example.say)
    if name in APART:
        return  # tests/intents/test_readings.py and the exchanges
    assert read.meaning.best.intent == name, read.meaning.guesses[:3]
    slots = Slots.of(read.heard).as_json()
    for key, value in example.slots.items():
        said = slots.get(key)
        assert value == said or (isinstance(said, list) and value in said)


@pytest.mark.parametrize("intent", CATALOGUE.intents.values(), ids=lambda intent: intent.name)
def test_intent_says_what_it_is_for(intent: Intent) -> None:
    """Every intent has its line for the card, and permits only replies that it has."""
    assert intent.about
    assert intent.permits <= set(intent.replies)
