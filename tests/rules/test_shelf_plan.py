"""Placing foods in a unit and putting a wrong unit right, for any content."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from assistant.rules.food_names import find_food
from assistant.rules.foods import Food, all_foods, unknown_food
from assistant.rules.shelf_plan import find_faults
from assistant.rules.storage import may_be_above, same_need

foods = st.sampled_from([*all_foods(), unknown_food("pan"), unknown_food("meat", raw_animal=True)])
units = st.integers(1, 7)
contents = st.lists(st.tuples(foods, st.integers(1, 5)), max_size=8, unique_by=lambda pair: pair[0].name)


def food(name: str) -> Food:
    found = find_food(name)
    assert found is not None
    return found


@given(contents)
def test_faults_are_the_pairs_out_of_order(given_contents: list[tuple[Food, int]]) -> None:
    """A fault over shelves is exactly a pair that the storage rule forbids."""
    faults = [fault for fault in find_faults(given_contents) if not fault.same_shelf]
    at = {one.name: shelf for one, shelf in given_contents}
    assert all(at[fault.upper.name] < at[fault.lower.name] for fault in faults)
    assert not any(may_be_above(fault.upper, fault.lower) for fault in faults)
    assert not any(same_need(fault.upper, fault.lower) for fault in faults)


def test_raw_beside_ready_to_eat_is_a_fault() -> None:
    """One shelf, chicken and rice: the raw food is named first."""
    (fault,) = find_faults([(food("cooked rice"), 2), (food("raw chicken"), 2)])
    assert (fault.upper.name, fault.same_shelf) == ("chicken", True)
