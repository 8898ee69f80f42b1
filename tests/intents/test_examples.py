"""Every example of every intent table is a test: it has to match its own intent and give its slots."""

from __future__ import annotations

import pytest

from assistant.dialogue.slots import Slots
from intents.catalogue import Example, load_catalogue
from intents.interpret import Interpreter

EXAMPLES = [
    pytest.param(intent.name, example, id=f"{intent.name}: {example.say}")
    for intent in load_catalogue().intents.values()
    if intent.patterns
    for example in intent.examples
]


@pytest.mark.parametrize(("name", "example"), EXAMPLES)
def test_example_matches_its_intent(name: str, example: Example, interpreter: Interpreter) -> None:
    """An example said alone is understood as its own intent, with the slots it names."""
    read = interpreter.interpret(example.say)
    assert read.best is not None
    assert read.best.intent.name == name, [(m.intent.name, round(m.score, 2)) for m in read.matches[:3]]
    slots = Slots.of(read.heard).as_json()
    for key, value in example.slots.items():
        said = slots.get(key)
        assert value == said or (isinstance(said, list) and value in said)


@pytest.mark.parametrize("intent", load_catalogue().intents.values(), ids=lambda intent: intent.name)
def test_intent_says_what_it_is_for(intent: object) -> None:
    """Every table tells what the intent is for; the printed card is made from it."""
    assert getattr(intent, "about", "")
