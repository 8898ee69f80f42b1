"""Replies for the ear: numbers, units, ranges, clock times and read-back digits in words."""

from __future__ import annotations

import pytest

from intents.en.spell import for_ear, for_eye


@pytest.mark.parametrize(
    ("shown", "spoken"),
    [
        ("Cook to 165°F.", "Cook to one hundred sixty five degrees."),
        ("Keep 200-400 ppm.", "Keep two hundred to four hundred parts per million."),
        ("Walk-in, ⟦165⟧°F. Right?", "Walk-in, one six five degrees. Right?"),
        ("Discard at 10:30.", "Discard at ten thirty."),
        ("1 1/2 teaspoons in 1 gallon", "one and a half teaspoons in one gallon"),
        ("-4°F or colder", "minus four degrees or colder"),
        ("-0.5°C", "minus zero point five degrees Celsius"),
        ("7.5 mL", "seven point five milliliters"),
        ("1,000 ppm", "one thousand parts per million"),
        ("at pH 8", "at p H eight"),
        ("at 2:05 pm", "at two oh five p m"),
        ("Low-boy 2, 38°F. Good.", "Low-boy two, thirty eight degrees. Good."),
    ],
)
def test_for_ear(shown: str, spoken: str) -> None:
    """A shown text is spelled for the voice."""
    assert for_ear(shown) == spoken


def test_for_eye_drops_the_marks() -> None:
    """The marks around read-back digits never show."""
    assert for_eye("Walk-in, ⟦15⟧°F. Right?") == "Walk-in, 15°F. Right?"


def test_a_telephone_number_is_said_as_it_is_dialled() -> None:
    """The number of Poison Help (US health department, from memory) is no sum of hundreds."""
    said = "one eight hundred, two two two, one two two two"
    assert for_ear("Poison Help is 1-800-222-1222.") == f"Poison Help is {said}."
