"""Placing foods in a unit and putting a wrong unit right, for any content."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.rules.food_names import find_food
from assistant.rules.foods import Food, all_foods, unknown_food
from assistant.rules.shelf_plan import find_faults, moves, place_in_unit, shelf_for, side_by_side
from assistant.rules.storage import may_be_above, same_need

foods = st.sampled_from([*all_foods(), unknown_food("pan"), unknown_food("meat", raw_animal=True)])
units = st.integers(1, 7)
contents = st.lists(st.tuples(foods, st.integers(1, 5)), max_size=8, unique_by=lambda pair: pair[0].name)


def food(name: str) -> Food:
    found = find_food(name)
    assert found is not None
    return found


@given(st.lists(foods, max_size=10), units)
def test_a_plan_never_has_a_fault(given_foods: list[Food], shelves: int) -> None:
    """Whatever is put in whatever unit: no raw food over or beside ready-to-eat food."""
    plan = place_in_unit(given_foods, shelves)
    assert find_faults([(one.food, one.shelf) for one in plan.placements]) == ()
    assert all(1 <= one.shelf <= shelves for one in plan.placements)


@given(st.lists(foods, max_size=10), units)
def test_a_plan_keeps_every_food(given_foods: list[Food], shelves: int) -> None:
    """Each food has a shelf or is sent elsewhere, never both."""
    plan = place_in_unit(given_foods, shelves)
    names = [one.food.name for one in plan.placements] + [one.name for one in plan.elsewhere]
    assert sorted(names) == sorted({one.name for one in given_foods})


@given(contents)
def test_moves_put_a_unit_right(given_contents: list[tuple[Food, int]]) -> None:
    """After the moves nothing is wrong, and nothing is moved twice."""
    done = moves(given_contents, 5)
    where = {one.name: (one, shelf) for one, shelf in given_contents}
    for move in done:
        assert where.pop(move.food.name)[1] == move.from_shelf
        if move.to_shelf is not None:
            where[move.food.name] = (move.food, move.to_shelf)
    assert find_faults(list(where.values())) == ()
    assert len({move.food.name for move in done}) == len(done)


@given(contents)
def test_faults_are_the_pairs_out_of_order(given_contents: list[tuple[Food, int]]) -> None:
    """A fault over shelves is exactly a pair that the storage rule forbids."""
    faults = [fault for fault in find_faults(given_contents) if not fault.same_shelf]
    at = {one.name: shelf for one, shelf in given_contents}
    assert all(at[fault.upper.name] < at[fault.lower.name] for fault in faults)
    assert not any(may_be_above(fault.upper, fault.lower) for fault in faults)
    assert not any(same_need(fault.upper, fault.lower) for fault in faults)


def test_six_levels_on_six_shelves() -> None:
    """With room for all, every level has its own shelf, poultry lowest."""
    names = ["raw chicken", "ground beef", "salmon", "eggs", "lettuce", "cooked rice"]
    plan = place_in_unit([food(name) for name in names], 6)
    shelves = [one.shelf for one in plan.placements]
    assert (shelves, plan.limited) == ([1, 2, 3, 4, 5, 6], False)


def test_raw_levels_keep_to_the_bottom_where_there_is_room() -> None:
    """Two levels in a unit of five: ready to eat on the top shelf, chicken on the lowest."""
    plan = place_in_unit([food("raw chicken"), food("cooked rice")], 5)
    assert [(one.food.tier, one.shelf) for one in plan.placements] == [(1, 1), (5, 5)]


def test_single_shelf_keeps_ready_to_eat_food_and_sends_raw_food_away() -> None:
    """Raw and ready-to-eat food cannot share the only shelf."""
    plan = place_in_unit([food("raw chicken"), food("lettuce"), food("cooked rice")], 1)
    assert [one.name for one in plan.elsewhere] == ["chicken"]
    assert all(one.apart for one in plan.placements)


def test_a_unit_has_a_shelf() -> None:
    """Bad input gets one clear sentence."""
    with pytest.raises(ValueError, match="at least one shelf"):
        place_in_unit([], 0)


@pytest.mark.parametrize(
    ("name", "shelves", "shelf"),
    [
        ("raw chicken", 5, 5),
        ("ground beef", 5, 4),
        ("pork chop", 5, 3),
        ("unwashed lettuce", 5, 2),
        ("cooked rice", 5, 1),
        ("raw chicken", 3, 3),
        ("pork chop", 2, 1),
    ],
)
def test_usual_shelf(name: str, shelves: int, shelf: int) -> None:
    """The usual place of one food, counted from the top."""
    assert shelf_for(food(name), shelves) == shelf


def test_chicken_over_cooked_rice_moves_down() -> None:
    """The raw food moves, and the ready-to-eat food below it is named for a look."""
    wrong = [(food("raw chicken"), 1), (food("cooked rice"), 3), (food("ground beef"), 4)]
    assert [fault.ready_to_eat_below for fault in find_faults(wrong)] == [True, False]
    assert [(move.food.name, move.to_shelf) for move in moves(wrong, 5)] == [("chicken", 5)]


def test_raw_beside_ready_to_eat_is_a_fault() -> None:
    """One shelf, chicken and rice: the raw food is named first."""
    (fault,) = find_faults([(food("cooked rice"), 2), (food("raw chicken"), 2)])
    assert (fault.upper.name, fault.same_shelf) == ("chicken", True)


def test_unknown_meat_leaves_a_unit_where_it_fits_nowhere() -> None:
    """With eggs and ground beef on every shelf an unknown raw meat has no place above or below them."""
    full = [(food("cooked rice"), 1), (food("ground beef"), 2), (unknown_food("meat", raw_animal=True), 1)]
    assert [(move.food.name, move.to_shelf) for move in moves(full, 2)] == [("meat", 2)]
    one_shelf = [(food("cooked rice"), 1), (unknown_food("meat", raw_animal=True), 1)]
    assert [(move.food.name, move.to_shelf) for move in moves(one_shelf, 1)] == [("meat", None)]


def test_pairs_that_need_a_gap() -> None:
    """Lamb and pork on one shelf need their own covered containers, two cuts of pork do not."""
    pairs = side_by_side([food("lamb chop"), food("pork chop"), food("pork ribs")])
    assert len(pairs) == 2
