"""Hot water as the sanitizer in the third compartment."""

from __future__ import annotations

from decimal import Decimal

from assistant.rules.basis import Judgement, Temperature
from assistant.rules.compare import judge_at_least, judge_seconds
from assistant.rules.profile import Profile


def judge_hot_water(temperature: Temperature, profile: Profile, seconds: Decimal | None = None) -> Judgement:
    """Judge hot-water sanitizing by the water and the time under it (``None``: not said)."""
    water = judge_at_least(temperature, profile.limit("manual_hot_water_min"), "heat_water", "water_too_cold")
    if seconds is None or not water.passed:
        return water
    held = judge_seconds(seconds, profile.limit("hot_water_contact_min"))
    return water if held.passed else held
