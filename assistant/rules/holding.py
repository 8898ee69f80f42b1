"""Cold, hot and frozen holding: food judged by its own temperature, air only as a sign to probe the food."""

from __future__ import annotations

from typing import Literal

from assistant.rules.basis import Judgement, Range, Temperature, Verdict
from assistant.rules.compare import judge_at_least, judge_at_most, warmer_than
from assistant.rules.profile import Profile

Medium = Literal["food", "air"]
ColdKind = Literal["general", "shell_eggs", "sealed_milk", "live_shellfish", "serving_line", "vacuum_fish"]
HotKind = Literal["general", "roast"]

_COLD_LIMITS: dict[ColdKind, str] = {
    "general": "cold_holding_max",
    "shell_eggs": "shell_egg_air_max",
    "sealed_milk": "sealed_milk_max",
    "live_shellfish": "live_shellfish_max",
    "serving_line": "serving_line_max",
    "vacuum_fish": "vacuum_fish_max",
}
_HOT_LIMITS: dict[HotKind, str] = {"general": "hot_holding_min", "roast": "roast_hot_holding_min"}


def judge_cold_holding(
    temperature: Temperature, profile: Profile, kind: ColdKind = "general", medium: Medium = "food"
) -> Judgement:
    """Judge cold holding. Warm food asks since when; warm air asks to probe a food.

    ``shell_eggs`` is the air around raw eggs in the shell; pasteurized or liquid eggs are ``general``.
    """
    limit = profile.limit(_COLD_LIMITS[kind])
    if medium == "air" and kind != "shell_eggs":
        return judge_at_most(temperature, limit, "probe_food", "air_too_warm")
    return judge_at_most(temperature, limit, "ask_since_when")


def judge_hot_holding(temperature: Temperature, profile: Profile, kind: HotKind = "general") -> Judgement:
    """Judge hot holding. Food that has cooled asks since when: the steam table may not reheat it."""
    return judge_at_least(temperature, profile.limit(_HOT_LIMITS[kind]), "ask_since_when")


def judge_frozen(
    temperature: Temperature, profile: Profile, *, frozen_solid: bool | None = None
) -> Judgement:
    """Judge a freezer reading: the rule is that food stays frozen, the usual air figure is practice.

    ``frozen_solid`` is what a touch of the food says; ``None``: not said, so that a reading between the
    usual air temperature and the melting point asks for it.
    """
    melting, usual = profile.limit("frozen_solid_max"), profile.limit("freezer_air_max")
    citations = (melting.citation, usual.citation)
    limits = Range(usual.unit, high=usual.value)
    if frozen_solid is False or warmer_than(temperature, melting):
        return Judgement(Verdict.FAIL, "not_frozen", citations, limits, "ask_food_temperature")
    if not warmer_than(temperature, usual):
        return Judgement(Verdict.PASS, "in_range", citations, limits)
    if frozen_solid:
        return Judgement(Verdict.PASS, "frozen_but_warm_air", citations, limits, "check_freezer")
    return Judgement(Verdict.CANNOT_JUDGE, "warmer_than_usual", citations, limits, "check_frozen_solid")
