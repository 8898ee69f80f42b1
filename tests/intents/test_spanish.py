"""The Spanish pack: its examples match, its replies fit the English ones, its names exist in the rules."""

from __future__ import annotations

import pytest

from assistant.dialogue.conversation import interpreter_for
from assistant.dialogue.slots import Slots
from assistant.rules.food_names import find_food
from assistant.site import Site
from intents.catalogue import Example, load_catalogue
from intents.interpret import Interpreter
from intents.wording import pairs, wording

SPANISH, ENGLISH = load_catalogue("es"), load_catalogue("en")
EXAMPLES = [
    pytest.param(intent.name, example, id=f"{intent.name}: {example.say}")
    for intent in SPANISH.intents.values()
    if intent.name not in ("reading", "correction")  # read by exact grammars
    for example in intent.examples
]


REGIONAL = (
    ("frijoles", "porotos", "habichuelas", "caraotas", "judías", "alubias"),
    ("camarones", "gambas", "langostinos"),
    ("papas", "patatas"),
    ("aguacate", "palta"),
    ("puerco", "cerdo", "chancho", "marrano"),
    ("elote", "mazorca", "choclo"),
    ("fresas", "frutillas"),
    ("betabel", "remolacha"),
    ("ejotes", "judías verdes", "vainitas", "chauchas"),
    ("tocino", "tocineta", "panceta"),
    ("cacahuates", "maní", "cacahuetes"),
    ("pavo", "guajolote"),
    ("piña", "ananá"),
    ("col", "repollo"),
    ("calabacita", "calabacín", "zapallo", "auyama"),
)
"""Regional names, from general knowledge of the language (from memory, no source)."""


@pytest.fixture(scope="module")
def spanish(site: Site) -> Interpreter:
    """The Spanish interpreter of the example kitchen."""
    return interpreter_for(site, "es")


@pytest.mark.parametrize(("name", "example"), EXAMPLES)
def test_example_matches_its_intent(name: str, example: Example, spanish: Interpreter) -> None:
    """An example said alone is understood as its own intent, with the slots it names."""
    read = spanish.interpret(example.say)
    assert read.best is not None
    assert read.best.intent == name, read.meaning.guesses[:3]
    slots = Slots.of(read.heard).as_json()
    for key, value in example.slots.items():
        said = slots.get(key)
        assert value == said or (isinstance(said, list) and value in said)


def test_foods_are_known_to_the_rules() -> None:
    """Every Spanish name stands for a food that the rules know."""
    assert not [spoken for spoken, food in pairs("es", "foods") if find_food(food) is None]


def test_one_food_has_its_regional_names() -> None:
    """What Mexico, the Caribbean, the south and Spain call a food is one food to the rules."""
    names = dict(pairs("es", "foods"))
    for same in REGIONAL:
        classes = {food.food_class for name in same if (food := find_food(names[name])) is not None}
        assert len(classes) == 1, same


@pytest.mark.parametrize("word", ["vacío", "dorado", "raya", "sierra", "mero", "pintada", "caza"])
def test_a_common_word_is_no_food(word: str) -> None:
    """A flank steak, fishes and a fowl are called so; in a kitchen these words mostly say something else."""
    assert word not in dict(pairs("es", "foods"))


def test_values_are_said_in_spanish() -> None:
    """What answers give in English is shown in Spanish, capital letters kept."""
    shown = wording("es").shown
    assert shown("41°F or colder") == "41°F o menos"
    assert shown("Ground beef") == "Carne molida"
    assert shown("Quat bucket 2") == "Cubeta de cuat 2"
    assert shown("155°F for 17 seconds") == "155°F por 17 segundos"
    assert shown("Walk-in 38°F at 1:30 pm") == "Cuarto frío 38°F a las 1:30 pm"
    assert shown("38°F at -4°F") == "38°F a -4°F"
    assert shown("Tuesday May 5") == "martes 5 de mayo"
    assert shown(", by May") == ", de May", "a name that is a month in English stays"
    assert shown("Mayonnaise in a cupboard") == "Mayonnaise in a cupboard"
