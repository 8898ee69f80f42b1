"""The wake phrase is found at the start only, also as it is misheard."""

from __future__ import annotations

import pytest

from assistant.dialogue.wake import strip_wake


@pytest.mark.parametrize(
    "said",
    [
        "hey kitchen walk in 38",
        "Hey, Kitchen: walk in 38",
        "hay kitchen walk in 38",
        "8 kitchen walk in 38",
        "uh hey kitchen walk in 38",
    ],
)
def test_found(said: str) -> None:
    """The rest of the sentence is left."""
    assert strip_wake(said, "hey kitchen") == ("walk in 38", True)


@pytest.mark.parametrize(
    "said",
    ["walk in 38", "the kitchen is hot", "they keep chickens", "clean the kitchen", "kitchen", "hey chicken"],
)
def test_not_found(said: str) -> None:
    """Nothing else wakes it."""
    assert strip_wake(said, "hey kitchen") == (said, False)
