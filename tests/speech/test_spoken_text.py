"""What a recogniser wrote becomes plain words; digits and the marks beside them stay."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.speech.spoken_text import spoken_text


@pytest.mark.parametrize(
    ("written", "spoken"),
    [
        (" Quat bucket 200.", "quat bucket 200"),
        ("Walk-in, 38.5°.", "walk in 38.5°"),
        ("8.2. 5%", "8.2. 5%"),
        ("1-84", "1-84"),
        ("17, 70", "17, 70"),
        (".5 percent", ".5 percent"),
        ("Freezer -2.", "freezer -2"),
        ("41s", "41s"),
        ("What’s left?", "what's left"),
        ("Yes. 40", "yes 40"),
        ("[BLANK_AUDIO]", ""),
        ("(music) -4 degrees", "-4 degrees"),
        ("...", ""),
        ("", ""),
    ],
)
def test_examples(written, spoken):
    """Forms that were seen in real results of the recogniser."""
    assert spoken_text(written) == spoken


@given(st.text())
def test_once_is_enough(written):
    """Doing it twice changes nothing more."""
    once = spoken_text(written)
    assert spoken_text(once) == once


@given(st.lists(st.integers(-999, 9999), min_size=1, max_size=4), st.sampled_from([" ", ", ", "-", " and "]))
def test_no_digit_and_no_sign_is_ever_lost(numbers, between):
    """Numbers come out digit for digit, with their minus."""
    written = between.join(str(number) for number in numbers)
    kept = spoken_text(written)
    assert [c for c in kept if c.isdigit() or c == "-"] == [c for c in written if c.isdigit() or c == "-"]
