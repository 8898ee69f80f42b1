"""Deeds told in one breath: nothing that was thrown out is lost, whatever the order of foods and amounts.

The sentences are made of parts, so that the right answer is known from how they were made.
"""

from __future__ import annotations

from itertools import product

import pytest

from intents.deeds import breath
from intents.lexicon import load_lexicon
from intents.mentions import Understanding, understand
from intents.names_heard import foods_of
from intents.spoken_names import SpokenNames

LEXICON = load_lexicon("en")
PLACES = (("walk in", "walk-in"), ("quat bucket two", "quat bucket 2"))
FINDERS = SpokenNames(foods_of("en"), PLACES).finders()
FOODS = ("rice", "chicken soup", "shrimp", "coleslaw")
AMOUNTS = {
    "two pounds": "2 pounds",
    "half a gallon": "0.5 gallons",
    "three trays": "three trays",
    "a whole pan": "a whole pan",
    "about five quarts": "about 5 quarts",
    "six nine ounce packs": "six nine ounce packs",
}
VERBS = ("i threw out", "we tossed", "just binned", "chucked")


def _read(text: str) -> Understanding:
    return understand(text, LEXICON, FINDERS)


@pytest.mark.parametrize(("verb", "joint"), list(product(VERBS, (" and ", " ", ", "))))
def test_every_food_keeps_its_amount(verb: str, joint: str) -> None:
    """Amounts before their foods, two in a breath, whatever joins them."""
    for (first, shown), (second, also) in product(AMOUNTS.items(), repeat=2):
        told = breath(_read(f"{verb} {first} of {FOODS[0]}{joint}{second} of {FOODS[2]}"), LEXICON)
        items = [(item.food, item.amount) for deed in told.deeds for item in deed.items]
        assert items == [(FOODS[0], shown), (FOODS[2], also)]
        assert not told.left


@pytest.mark.parametrize("amount", [a for a in AMOUNTS if not a.startswith(("a ", "six"))])
def test_amounts_behind_their_foods(amount: str) -> None:
    """ "Tossed the rice two pounds, shrimp three trays"."""
    told = breath(_read(f"tossed the rice {amount} and the shrimp three trays"), LEXICON)
    items = [(item.food, item.amount) for deed in told.deeds for item in deed.items]
    assert items == [("rice", AMOUNTS[amount]), ("shrimp", "three trays")]


@pytest.mark.parametrize(
    ("said", "kinds"),
    [
        ("hands washed and quat bucket two changed one ninety", ["washed", "remade"]),
        ("threw out the rice and washed my hands", ["thrown", "washed"]),
        ("moved the shrimp to the walk in and tossed two pounds of rice", ["moved", "thrown"]),
        ("dumped it and made a new one two fifty", ["remade"]),
        ("changed gloves washed hands", ["gloved", "washed"]),
        ("rice in the trash shrimp is in the walk in", ["thrown", "moved"]),
        ("sent back three cases of shrimp", ["refused"]),
        ("the bin is full", []),
        ("put the kettle on", []),
        ("the shrimp is in trouble", []),
    ],
)
def test_each_deed_once(said: str, kinds: list[str]) -> None:
    """Each deed is told once, and a word that only looks like a deed's verb tells none."""
    assert [deed.kind for deed in breath(_read(said), LEXICON).deeds] == kinds


TO_COME = ("we have to", "i'm gonna", "somebody should", "let's", "i'll", "we need to just")


@pytest.mark.parametrize("before", TO_COME)
def test_planned_is_not_done(before: str) -> None:
    """What is to come or ought to be done is no deed yet."""
    for verb in ("throw out", "toss", "dump"):
        told = breath(_read(f"{before} {verb} two pounds of rice"), LEXICON)
        assert [deed.planned for deed in told.deeds] == [True]


@pytest.mark.parametrize("said", ["had to toss two pounds of rice", "i've already tossed the rice"])
def test_done_is_done(said: str) -> None:
    """ "Had to" tells of what was done."""
    assert [deed.planned or deed.bare for deed in breath(_read(said), LEXICON).deeds] == [False]


@pytest.mark.parametrize("before", ["i didn't", "we haven't", "nobody"])
def test_not_done(before: str) -> None:
    """What was not done is told so."""
    assert [deed.denied for deed in breath(_read(f"{before} tossed the rice"), LEXICON).deeds] == [True]


@pytest.mark.parametrize("number", ["at nine thirty", "forty one"])
def test_a_number_of_something_else_counts_no_food(number: str) -> None:
    """The time, or what the food was read at, is no amount of it."""
    told = breath(_read(f"tossed the rice {number}"), LEXICON)
    assert [(item.food, item.amount) for deed in told.deeds for item in deed.items] == [("rice", "")]
