"""Animal food that is eaten raw is never stacked with produce (FDA Food Code 3-302.11(A)(1) and (8))."""

from __future__ import annotations

import pytest

from assistant.rules.food_names import find_food
from assistant.rules.storage import Pair, which_above


@pytest.mark.parametrize("raw", ["oysters on the half shell", "sushi", "ceviche fish", "steak tartare"])
@pytest.mark.parametrize("produce", ["lettuce", "greens", "whole tomatoes", "raw potatoes"])
def test_food_eaten_raw_is_not_stacked_with_produce(raw: str, produce: str) -> None:
    """Neither goes above the other: juice on salad, soil on sushi."""
    eaten_raw, plant = find_food(raw), find_food(produce)
    assert eaten_raw is not None
    assert plant is not None
    assert which_above(eaten_raw, plant).placing is Pair.SEPARATE_NOT_STACKED
    assert which_above(plant, eaten_raw).placing is Pair.SEPARATE_NOT_STACKED
