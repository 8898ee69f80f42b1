"""Reports whose words are not all known: names and numbers in order, none cut, none turned round."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.dialogue.conversation import interpreter_for
from assistant.site import load_site
from intents.interpret import Interpreter


@pytest.fixture(scope="module")
def interpreter() -> Interpreter:
    """The example kitchen's."""
    return interpreter_for(load_site())


def _read(interpreter: Interpreter, text: str) -> list[tuple[str, str, Decimal]]:
    heard = interpreter.interpret(text).heard
    roles = ("other",) * len(heard.words)
    options = interpreter.loosely(" ".join(heard.words), roles)[0].readings.options
    return [(r.subject, r.place, r.value) for r in options[0]] if len(options) == 1 else []


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("so the walk-in again i measure thirty eight", [("walk-in", "", 38)]),
        (
            "whatever walk-in thirty eight while i stand there reach-in forty",
            [("walk-in", "", 38), ("reach-in", "", 40)],
        ),
        ("that mahi straight out it temps one fifty two", [("mahi", "", 152)]),
        ("we have thirty eight showing on the walk-in dear", [("walk-in", "", 38)]),
        (
            "soup one forty chili one fifty both of them in the steam table",
            [("soup", "steam table", 140), ("chili", "steam table", 150)],
        ),
        (
            "walk-in stands about thirty eight and a half whatever they say",
            [("walk-in", "", Decimal("38.5"))],
        ),
    ],
)
def test_names_and_numbers_read_in_their_order(
    interpreter: Interpreter, text: str, readings: list[tuple[str, str, Decimal]]
) -> None:
    """Each number is of the name before it, or of the place behind "on"; one place may stand for all."""
    assert _read(interpreter, text) == readings


@pytest.mark.parametrize(
    "text",
    [
        "whatever walk-in is not thirty eight today",
        "walk-in thirty eight scratch that forty",
        "the walk-in needs to come down to thirty eight",
        "eighty six the salmon dear",
        "walk-in thirty eight and then forty again",
    ],
)
def test_what_turns_a_report_round_leaves_nothing_read(interpreter: Interpreter, text: str) -> None:
    """A denial, a second thought, a wish, an order, a number without a name of its own."""
    assert _read(interpreter, text) == []


def test_no_number_is_cut_by_what_the_net_hears_beside_it(interpreter: Interpreter) -> None:
    """ "By the way" is an aside; the half before it belongs to the number."""
    read = interpreter.interpret("walk-in thirty eight and a half by the way thanks")
    values = {r.value for option in read.readings.options for r in option}
    assert values <= {Decimal("38.5")}
