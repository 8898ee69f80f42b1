"""Parts of a place's name that stand for it; the kitchens are invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.dialogue.conversation import interpreter_for
from assistant.site import load_site
from intents.interpret import Interpreter

KITCHENS = Path(__file__).parents[1] / "dialogue" / "kitchens"


@pytest.fixture(scope="module")
def canteen() -> Interpreter:
    """The interpreter of a kitchen with two fridges, a drawer and numbered places."""
    return interpreter_for(load_site(KITCHENS / "canteen.toml"))


def _places(interpreter: Interpreter, text: str) -> list[str]:
    return [span.value for span in interpreter.interpret(text).heard.names["equipment"]]


@pytest.mark.parametrize(
    ("said", "place"),
    [
        ("drawer", "pastry drawer"),
        ("cupboard two", "hot cupboard 2"),
        ("freezer number one", "deep freezer 1"),
    ],
)
def test_a_part_of_one_place_alone_is_that_place(canteen: Interpreter, said: str, place: str) -> None:
    """Wherever it is said, in a question too."""
    assert _places(canteen, f"what was the {said} at") == [place]


@pytest.mark.parametrize("said", ["meat", "veg", "fridge", "pastry"])
def test_a_part_that_is_another_word_is_no_place_by_itself(canteen: Interpreter, said: str) -> None:
    """A food, or what two places have in their names, is a place only with a number that fits."""
    assert _places(canteen, f"where does the {said} go") == []
    assert canteen.in_short((said,))


def test_two_places_that_fit_are_two_ways_to_read(canteen: Interpreter) -> None:
    """Nothing chooses between them but the cook."""
    options = canteen.interpret("fridge four").readings.options
    assert sorted(option[0].subject for option in options) == ["meat fridge", "veg fridge"]


@pytest.mark.parametrize("said", ["hot", "one"])
def test_words_that_say_nothing_alone_are_never_places(canteen: Interpreter, said: str) -> None:
    """A quality or a number of a name is no name ("hot" of the hot cupboards)."""
    assert not canteen.in_short((said,))
    assert _places(canteen, said) == []
