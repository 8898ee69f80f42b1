"""Fahrenheit figures said in Celsius: whole degrees, rounded to the side that is safe."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intents.degrees import celsius


@pytest.mark.parametrize(
    ("fahrenheit", "expected"),
    [
        ("41°F or colder", "5°C or colder"),  # the code prints 5°C
        ("70°F or less", "21°C or less"),  # the code prints 21°C
        ("135°F or hotter", "58°C or hotter"),  # 57.2: the code prints 57, a rounded figure that fails 135°F
        ("165°F for 15 seconds", "74°C for 15 seconds"),  # the code prints 74°C
        ("180-194°F", "83-90°C"),
        ("-4°F or colder for 7 days", "-20°C or colder for 7 days"),  # the code prints -20°C
        ("32°F within 2°F", "0°C within 1°C"),
        ("75°F or warmer", "24°C or warmer"),
        ("41°F o menos", "5°C o menos"),
        ("200 ppm for 60 seconds", "200 ppm for 60 seconds"),
    ],
)
def test_figures_of_the_code(fahrenheit: str, expected: str) -> None:
    """Known figures come out as the model code prints them, or one degree to the safe side."""
    assert celsius(fahrenheit) == expected


@given(st.integers(min_value=-40, max_value=600), st.sampled_from(["or colder", "or hotter", "or less"]))
def test_rounded_to_the_safe_side(figure: int, words: str) -> None:
    """An upper limit is never warmer than the figure, a lower one never colder."""
    said = re.fullmatch(rf"(-?\d+)°C {words}", celsius(f"{figure}°F {words}"))
    assert said is not None
    back = Decimal(said[1]) * 9 / 5 + 32
    assert back >= figure if words == "or hotter" else back <= figure
    assert abs(back - figure) < 2
