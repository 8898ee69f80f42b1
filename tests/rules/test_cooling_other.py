"""Room-temperature ingredients, shallow pans, and plant cooling kept apart."""

from __future__ import annotations

from decimal import Decimal

from assistant.rules.basis import Temperature, Verdict
from assistant.rules.cooling_other import (
    judge_ambient_cooling,
)
from assistant.rules.profile import load_profile

FDA, WASHINGTON = load_profile(), load_profile("washington")
COLD = Temperature(Decimal(41))


def test_tuna_salad_still_warm_has_time_left() -> None:
    """Two hours in at 55F: two hours left to 41F; at four hours it is too late."""
    judged = judge_ambient_cooling(Temperature(Decimal(55)), Decimal(2), FDA)
    assert (judged.verdict, judged.details["minutes_left"]) == (Verdict.CANNOT_JUDGE, 120)
    assert judge_ambient_cooling(Temperature(Decimal(55)), Decimal(4), FDA).action == "discard"
