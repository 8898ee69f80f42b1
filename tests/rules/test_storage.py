"""Storage order: the laws of the pair rule for any foods, and the cases beside it.

Source: FDA Food Code 3-302.11 (separation) and 3-401.11 (cook temperatures); the order on shelves is how
agencies apply them. The order of a cold top is common practice, no source.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.rules.basis import Verdict
from assistant.rules.food_names import find_food
from assistant.rules.foods import Food, all_foods, unknown_food, with_eggs_to_order
from assistant.rules.storage import (
    Order,
    Pair,
    beside,
    chemical_place,
    damaged_goods,
    front_to_back,
    kept_apart,
    may_be_above,
    same_need,
    storage_order,
    which_above,
)

UNKNOWN = (unknown_food("blue pan"), unknown_food("mystery meat pan", raw_animal=True))
foods = st.sampled_from([*all_foods(), *UNKNOWN])
food_lists = st.lists(foods, max_size=12)


def food(name: str) -> Food:
    found = find_food(name)
    assert found is not None
    return found


@given(foods, foods)
def test_never_raw_over_ready_to_eat(raw: Food, ready: Food) -> None:
    """No raw animal food, and nothing unknown, is ever told to stand over ready-to-eat food."""
    if raw.raw_animal and ready.ready_to_eat:
        assert not may_be_above(raw, ready)
        assert which_above(raw, ready).placing is Pair.B_ABOVE


@given(foods, foods, foods)
def test_above_is_transitive(top: Food, middle: Food, bottom: Food) -> None:
    """What may stand over a food may stand over everything that this food may stand over."""
    if may_be_above(top, middle) and may_be_above(middle, bottom):
        assert may_be_above(top, bottom)


@given(foods, foods)
def test_pair_answer_does_not_depend_on_the_order_asked(a: Food, b: Food) -> None:
    """Asking the other way round gives the mirrored answer."""
    mirror = {Pair.A_ABOVE: Pair.B_ABOVE, Pair.B_ABOVE: Pair.A_ABOVE}
    asked, turned = which_above(a, b).placing, which_above(b, a).placing
    assert turned is mirror.get(asked, asked)


@given(food_lists)
def test_order_is_strict(given_foods: list[Food]) -> None:
    """Every food over another may stand there, and never the other way round."""
    order = storage_order(given_foods)
    for index, level in enumerate(order.levels):
        for lower_level in order.levels[index + 1 :]:
            for upper in level:
                for lower in lower_level:
                    assert may_be_above(upper, lower)
                    assert not may_be_above(lower, upper)


@given(food_lists)
def test_order_keeps_every_food_once(given_foods: list[Food]) -> None:
    """Nothing is lost or doubled, and a level holds foods of the same need."""
    order = storage_order(given_foods)
    placed = [one for level in order.levels for one in level] + list(order.apart)
    assert sorted(one.name for one in placed) == sorted({one.name for one in given_foods})
    assert all(
        a == b or same_need(a, b) or (may_be_above(a, b) and may_be_above(b, a))
        for level in order.levels
        for a in level
        for b in level
    )


@given(food_lists)
def test_apart_only_where_something_conflicts(given_foods: list[Food]) -> None:
    """A food is set apart only because it fits neither over nor under another of the list."""
    order = storage_order(given_foods)
    placed = [one for level in order.levels for one in level]
    for one in order.apart:
        assert any(which_above(one, other).placing is Pair.SEPARATE_NOT_STACKED for other in placed)


@given(food_lists)
def test_front_of_a_cold_top_is_the_bottom_of_a_shelf(given_foods: list[Food]) -> None:
    """Front to back is bottom to top: nothing raw travels over another pan."""
    assert front_to_back(given_foods).levels[::-1] == storage_order(given_foods).levels


def test_usual_order_top_to_bottom() -> None:
    """Ready to eat, produce, 145 F, eggs whose plan is open, 155 F, 165 F."""
    names = ["raw chicken", "ground beef", "pork chop", "eggs", "unwashed lettuce", "cooked rice"]
    order = storage_order(food(name) for name in names)
    assert [[one.tier for one in level] for level in order.levels] == [[1], [2], [3], [3], [4], [5]]


def test_eggs_to_order_share_the_145_level() -> None:
    """Common practice, no source: eggs only cooked to order stand with pork and fish."""
    eggs = with_eggs_to_order(food("shell eggs"))
    assert len(storage_order([eggs, food("pork chop")]).levels) == 1
    assert with_eggs_to_order(food("pork chop")) == food("pork chop")


def test_unknown_food_is_named() -> None:
    """An answer that rests on a guess says for which food."""
    assert which_above(UNKNOWN[0], food("salmon")).assumed_unknown == ("blue pan",)


def test_two_unknown_foods_are_never_stacked() -> None:
    """Nothing is known of either, so neither goes over the other."""
    assert which_above(*UNKNOWN).placing is Pair.SEPARATE_NOT_STACKED
    assert storage_order(UNKNOWN) == Order(((UNKNOWN[1],),), (UNKNOWN[0],))


def test_same_food_in_two_trays() -> None:
    """Two trays of eggs may share a level though their range is wide."""
    assert which_above(food("eggs"), food("omelet eggs")).placing is Pair.EITHER


def test_raw_fish_for_crudo_counts_as_ready_to_eat() -> None:
    """Fish that is eaten raw goes over fish that is cooked, and apart from other ready-to-eat food."""
    crudo = food("raw tuna for the crudo")
    assert which_above(crudo, food("salmon")).placing is Pair.A_ABOVE
    assert which_above(crudo, food("cooked rice")).placing is Pair.EITHER_KEEP_SEPARATE


@pytest.mark.parametrize(
    ("a", "b", "verdict", "reason"),
    [
        ("raw chicken", "beef steak", Verdict.PASS, "apart_and_covered"),
        ("raw chicken", "cooked rice", Verdict.FAIL, "raw_beside_other_food"),
        ("chicken breast", "chicken wings", Verdict.PASS, "may_touch_shelf"),
        ("unwashed lettuce", "cooked rice", Verdict.PASS, "apart_and_covered"),
        ("lamb chop", "pork chop", Verdict.PASS, "apart_and_covered"),
    ],
)
def test_side_by_side(a: str, b: str, verdict: Verdict, reason: str) -> None:
    """Raw kinds may share a shelf in their own pans; raw and ready-to-eat may not."""
    answer = beside(food(a), food(b))
    assert (answer.verdict, answer.reason) == (verdict, reason)


def test_side_by_side_names_the_lower_place() -> None:
    """Beside beef the chicken is allowed, but the lower shelf is still the safer place."""
    assert beside(food("raw chicken"), food("ground beef")).details == {"lowest": "chicken"}
    assert beside(food("pork chop"), food("salmon")).details == {}


def test_two_unknown_foods_do_not_stand_together() -> None:
    """Where nothing is known, the stricter answer."""
    assert beside(UNKNOWN[1], UNKNOWN[1]).verdict is Verdict.FAIL


def test_raw_kinds_are_kept_apart() -> None:
    """Different animals never touch, the same animal may; unknown touches nothing raw."""
    assert kept_apart(food("pork chop"), food("lamb chop"))
    assert not kept_apart(food("pork chop"), food("pork ribs"))
    assert kept_apart(UNKNOWN[1], food("pork chop"))
    assert kept_apart(food("quail"), food("pheasant"))


def test_chemicals_and_damaged_goods() -> None:
    """Chemicals stand below and apart, damaged goods in a marked place (7-201.11, 6-404.11)."""
    assert chemical_place(above_food=True, beside_food=False).action == "store_below_and_apart"
    assert chemical_place(above_food=False, beside_food=False).passed
    assert "6-404.11" in damaged_goods().section
