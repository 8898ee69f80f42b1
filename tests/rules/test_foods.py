"""The food tables are whole, and a food is found by what a cook calls it. Nothing is guessed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.rules.food_names import ambiguity, find_food, normal
from assistant.rules.foods import all_foods, food_classes, foods_by_name, unknown_food
from assistant.rules.tables import read_table

NAMED = read_table("foods")
ALLERGENS = {"milk", "egg", "fish", "crustacean", "tree_nut", "wheat", "peanut", "soy", "sesame"}


def test_the_table_is_whole() -> None:
    """525 foods, each in a class that exists, with section and flag."""
    assert len(NAMED) == 525
    assert len(foods_by_name()) == len(all_foods())
    assert all(row["section"] and row["flag"] in {"READ", "MEMORY", "PRACTICE"} for row in NAMED)


def test_allergens_and_notes_are_listed_codes() -> None:
    """Every allergen is one of the nine, every note has a meaning in its table."""
    meanings = {row["note"] for row in read_table("food_notes")}
    assert all(set(food.allergens) <= ALLERGENS and set(food.notes) <= meanings for food in all_foods())


def test_tiers_agree_with_the_cook_range() -> None:
    """Ready to eat is tier 1 at 0; tier 5 may need 165 F; raw animal food is never tier 1 or 2."""
    for kind in food_classes().values():
        assert (kind.tier == 1) == kind.ready_to_eat == (kind.high == 0)
        assert (kind.tier == 5) == (kind.high == 165)
        assert kind.low <= kind.high


def test_every_name_and_alias_finds_a_food() -> None:
    """No alias of the table is lost; where it is an ambiguous word the assumed food stands in."""
    for food in all_foods():
        for called in (food.name, *food.aliases):
            assert find_food(called) is not None, called


@pytest.mark.parametrize(
    ("said", "food_class", "low", "high"),
    [
        ("raw chicken", "poultry", 165, 165),
        ("cooked chicken", "rte_cooked_animal", 0, 0),
        ("uncooked chicken", "poultry", 165, 165),
        ("par cooked wings", "poultry", 165, 165),
        ("ground turkey", "poultry_ground", 165, 165),
        ("leftover ground beef", "rte_cooked_animal", 0, 0),
        ("The Cubed Steaks", "tenderized_injected", 155, 155),
        ("stuffed chop", "stuffed_animal_food", 165, 165),
        ("needled sirloin", "tenderized_injected", 155, 155),
        ("wild venison", "game_wild", 165, 165),
        ("venison", "game_unknown", 145, 165),
        ("farmed venison", "game_farmed_intact", 145, 145),
        ("salmon for sushi", "fish_for_raw_service", 0, 0),
        ("steak tartare meat", "meat_for_raw_service", 0, 155),
        ("scrambled eggs to order", "egg_shell_to_order", 145, 155),
        ("scrambled eggs for the buffet", "egg_raw_pooled_or_held", 155, 155),
        ("case of lettuce", "produce_unwashed", 1, 1),
        ("rinsed romaine heads", "produce_washed", 0, 0),
        ("unlabeled boneless portion steak, source unknown", "tenderized_injected", 155, 155),
        ("undercooked burger", "comminuted_meat", 155, 155),
        ("cooked meat loaf slices", "rte_cooked_animal", 0, 0),
    ],
)
def test_found_as_a_cook_says_it(said: str, food_class: str, low: int, high: int) -> None:
    """Case, plurals, word order, containers and qualifiers do not matter."""
    found = find_food(said)
    assert found is not None
    assert (found.food_class, found.low, found.high) == (food_class, low, high)


@pytest.mark.parametrize("said", ["", "raw", "flurbs", "raw hot dogs", "stuffed water", "unknown food"])
def test_what_is_not_known_is_not_guessed(said: str) -> None:
    """No food, and qualifiers that contradict it, give nothing."""
    assert find_food(said) is None


def test_cooked_food_keeps_what_stays_true() -> None:
    """Cooking takes neither allergens nor histamine away."""
    cooked = find_food("cooked mahi mahi")
    assert cooked is not None
    assert (cooked.allergens, cooked.notes, cooked.tcs) == (("fish",), ("scombroid",), True)


@pytest.mark.parametrize(
    ("said", "question"),
    [
        ("chicken", "raw_or_cooked"),
        ("the chicken", "raw_or_cooked"),
        ("steaks", "intact_or_not"),
        ("eggs", "to_order_or_pooled"),
        ("oysters", "raw_bar_or_cook"),
        ("the meat", "which_meat"),
    ],
)
def test_words_that_need_a_question(said: str, question: str) -> None:
    """An ambiguous word names its question and is assumed to be the stricter food meanwhile."""
    asked = ambiguity(said)
    assert asked is not None
    assert (asked.question, find_food(said)) == (question, asked.assumed)


@pytest.mark.parametrize("said", ["raw chicken", "cooked rice", "flurbs", "ribeye steak"])
def test_clear_words_ask_nothing(said: str) -> None:
    """A qualifier settles the question; so does a clear name."""
    assert ambiguity(said) is None


def test_every_ambiguous_word_is_answered() -> None:
    """The assumed food of each word exists, and no word is assumed ready to eat without asking where."""
    for row in read_table("ambiguous_words"):
        asked = ambiguity(row["word"])
        if asked is not None:
            assert asked.matters_for <= {"place", "cook", "reheat", "thaw", "allergens", "raw_service"}
        assert row["assume"] in foods_by_name()


def test_an_unknown_food_takes_both_ends() -> None:
    """Ready to eat as the lower food, 165 F as the upper; raw meat of unknown kind from 145 F."""
    whole, raw = unknown_food("pan"), unknown_food("meat", raw_animal=True)
    assert ((whole.low, whole.high), (raw.low, raw.high)) == ((0, 165), (145, 165))
    assert (whole.known, whole.tcs, raw.raw_animal) == (False, True, True)


@given(st.text(max_size=40))
def test_any_text_is_normalised_without_error(text: str) -> None:
    """Whatever was heard: lower case, single spaces, and looking it up never fails."""
    assert normal(normal(text)) == normal(text)
    find_food(text)
    ambiguity(text)
