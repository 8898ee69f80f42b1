"""The last layers learn a new intent and leave the old ones where they were.

The vectors are made up here: three intents in three corners, a fourth one beside the third.
"""

from __future__ import annotations

import numpy as np

from models.training.understanding.heads import begun_with, shares_of, taught

OLD, NEW = ["air_dry", "cloths", "dropped"], ["air_dry", "cloths", "dropped", "tableware"]
SIZE, EACH = 16, 40


def _sentences() -> tuple[np.ndarray, np.ndarray]:
    chance = np.random.default_rng(3)
    corners = np.eye(4, SIZE, dtype=np.float32)
    corners[3, 2] = 0.5  # like the third in part
    labels = np.repeat(np.arange(4), EACH)
    noise = 0.1 * chance.standard_normal((len(labels), SIZE))
    return (corners[labels] + noise).astype(np.float32), labels


def test_a_new_intent_begins_beside_the_old_ones() -> None:
    """The rows of the intents that were there are the old ones, whatever their order now."""
    vectors, labels = _sentences()
    weight, bias = (
        np.arange(3 * SIZE, dtype=np.float32).reshape(3, SIZE),
        np.array([1.0, 2.0, 3.0], np.float32),
    )
    begun, shift = begun_with(OLD, NEW, weight, bias, vectors, labels)
    assert np.array_equal(begun[:3], weight)
    assert np.array_equal(shift[:3], bias)
    assert begun[3] @ vectors[labels == 3].mean(axis=0) > begun[3] @ vectors[labels == 0].mean(axis=0)


def test_it_is_learnt_and_takes_nothing_from_the_others() -> None:
    """Every made-up sentence is told apart after the passes, the old ones as before."""
    vectors, labels = _sentences()
    old = (4 * np.eye(3, SIZE)).astype(np.float32)
    begun = begun_with(OLD, NEW, old, np.zeros(3, np.float32), vectors, labels)
    weight, bias = taught(*begun, vectors, shares_of(labels, 4), np.ones(len(labels), np.float32))
    assert ((vectors @ weight.T + bias).argmax(axis=1) == labels).mean() > 0.98
