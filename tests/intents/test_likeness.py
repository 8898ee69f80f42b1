"""Likeness of words, held against rapidfuzz (Indel ratio, optimal string alignment)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz import fuzz
from rapidfuzz.distance import OSA

from intents.likeness import ratio, without_slips

WORDS = st.text("abcdeé ", max_size=12)


@given(WORDS, WORDS)
def test_as_the_library_counts(one: str, other: str) -> None:
    """Any two words, empty ones too."""
    assert ratio(one, other) == pytest.approx(fuzz.ratio(one, other))
    assert without_slips(one, other) == pytest.approx(OSA.normalized_similarity(one, other))


def test_neighbours_that_changed_places_are_one_slip() -> None:
    """Common spelling slips."""
    assert without_slips("chlorine", "cholrine") == pytest.approx(7 / 8)
    assert without_slips("lowboy", "loyboy") == pytest.approx(5 / 6)
