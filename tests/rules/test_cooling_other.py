"""Room-temperature ingredients, shallow pans, and plant cooling kept apart."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.rules.basis import Temperature, Verdict
from assistant.rules.cooling_other import (
    judge_ambient_cooling,
    judge_shallow_cooling,
    plant_cooling_legs,
)
from assistant.rules.profile import load_profile

FDA, WASHINGTON = load_profile(), load_profile("washington")
COLD = Temperature(Decimal(41))


def test_tuna_salad_still_warm_has_time_left() -> None:
    """Two hours in at 55F: two hours left to 41F; at four hours it is too late."""
    judged = judge_ambient_cooling(Temperature(Decimal(55)), Decimal(2), FDA)
    assert (judged.verdict, judged.details["minutes_left"]) == (Verdict.CANNOT_JUDGE, 120)
    assert judge_ambient_cooling(Temperature(Decimal(55)), Decimal(4), FDA).action == "discard"


@pytest.mark.parametrize(
    ("depth", "air", "uncovered", "reason"),
    [
        ("2", 41, True, "in_range"),
        ("2.1", 41, True, "too_deep"),
        ("2", 41, False, "covered"),
        ("2", 42, True, "air_too_warm"),
    ],
)
def test_washington_allows_shallow_pans_untimed(depth: str, air: int, uncovered: bool, reason: str) -> None:
    """WAC 246-215-03515(1): two inches, uncovered, in cold air."""
    judged = judge_shallow_cooling(Decimal(depth), Temperature(Decimal(air)), WASHINGTON, uncovered=uncovered)
    assert judged.reason == reason


def test_elsewhere_shallow_pans_are_timed_too() -> None:
    """The model code has no untimed method."""
    assert judge_shallow_cooling(Decimal(1), COLD, FDA, uncovered=True).reason == "method_not_allowed"


def test_plant_options_are_marked_as_no_restaurant_rule() -> None:
    """FSIS Appendix B belongs to inspected plants."""
    assert {leg.citation.profile for leg in plant_cooling_legs()} == {"meat plants"}
