"""The profile for a United States site of unknown place: of every figure the strictest that any has."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import cache

from assistant.rules.basis import Limit, Temperature
from assistant.rules.profile import DEFAULT_PROFILE, Profile, load_profile, profile_names

_HIGHER_IS_STRICTER = ("_min", "_hold", "cooling_start", "latex_gloves_barred", "swab_strength_factor")
_LOWER_IS_STRICTER = (
    "_max",
    "_tolerance",
    "cooling_stage_one",
    "cooling_end",
    "date_mark_needed_after",
    "date_mark_late_reheat",
    "time_control_check_hours",
)


@cache
def load_strictest() -> Profile:
    """Return the default profile with each figure replaced by the strictest known; say so when it is used.

    Figures without a strict side (records to keep) stay the default's.
    """
    default = load_profile(DEFAULT_PROFILE)
    profiles = [load_profile(name) for name in profile_names()]
    profiles = [profile for profile in profiles if profile.unit == default.unit]
    merged = {key: _strictest([profile.limit(key) for profile in profiles]) for key in default.limits}
    return replace(
        default, title="Unknown place: the strictest figure of all United States profiles", limits=merged
    )


def _strictest(limits: list[Limit]) -> Limit:
    key = limits[0].key
    if key.endswith(_HIGHER_IS_STRICTER):
        return max(limits, key=_size)
    if key.endswith(_LOWER_IS_STRICTER):
        return min(limits, key=_size)
    return limits[0]


def _size(limit: Limit) -> Fraction:
    """Return the figure for comparing, temperatures in Fahrenheit."""
    return Temperature(limit.value, "C").in_unit("F") if limit.unit == "C" else Fraction(limit.value)
