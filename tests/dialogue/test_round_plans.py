"""Rounds in the site file: what cannot be a round is refused in one sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.errors import InputError
from assistant.site import load_site

EQUIPMENT = '[[equipment]]\nid = "walk-in"\nname = "walk-in"\nkind = "cold_holding"\n'


def load(folder: Path, rounds: str) -> None:
    """Load a site file with one walk-in and ``rounds``."""
    path = folder / "site.toml"
    path.write_text(EQUIPMENT + rounds, encoding="utf-8")
    load_site(path)


@pytest.mark.parametrize(
    ("rounds", "says"),
    [
        ('[[rounds]]\nid = "a"\nname = "a round"\nplaces = ["fridge"]\n', "unknown places: fridge"),
        ('[[rounds]]\nid = "a"\nname = "a round"\n', "needs either places or cooling"),
        ('[[rounds]]\nid = "a"\nname = "a round"\nplaces = ["walk-in"]\ncooling = true\n', "needs either"),
        ('[[rounds]]\nid = "a"\nname = "a round"\nplaces = ["walk-in", "walk-in"]\n', "twice: walk-in"),
        ('[[rounds]]\nid = "a"\nname = "a round"\nplaces = ["walk-in"]\n' * 2, "'a' is used twice"),
    ],
)
def test_a_faulty_round_is_refused(tmp_path: Path, rounds: str, says: str) -> None:
    """The fault is named, with what to do about it."""
    with pytest.raises(InputError, match=says):
        load(tmp_path, rounds)


def test_a_round_over_food_that_cools_needs_no_places(tmp_path: Path) -> None:
    """A cooling round asks whatever is cooling at that moment."""
    load(tmp_path, '[[rounds]]\nid = "cool"\nname = "cooling check"\ncooling = true\n')
