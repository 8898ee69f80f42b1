"""Cooling that is not the two stages of cooked food: room-temperature ingredients, shallow pans, plants."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import cast

from assistant.rules.basis import Citation, Flag, Judgement, Range, Temperature, Verdict
from assistant.rules.compare import assumed_detail, warmer_than
from assistant.rules.profile import Profile
from assistant.rules.tables import read_table


def judge_ambient_cooling(temperature: Temperature, hours: Decimal, profile: Profile) -> Judgement:
    """Judge food made from ingredients at room temperature (tuna salad), ``hours`` after it was made."""
    limit, end = profile.limit("cooling_ambient_hours_max"), profile.limit("cooling_end")
    citations = (limit.citation, end.citation)
    limits = Range(end.unit, high=end.value)
    details = assumed_detail(limit, end)
    cold = not warmer_than(temperature, end)
    if hours > limit.value or (hours == limit.value and not cold):
        return Judgement(Verdict.FAIL, "ambient_too_long", citations, limits, "discard", details)
    if cold:
        return Judgement(Verdict.PASS, "cooled", citations, limits, details=details)
    details |= {"minutes_left": (limit.value - hours) * 60, "next_temperature": end.value, "unit": end.unit}
    return Judgement(Verdict.CANNOT_JUDGE, "cooling", citations, limits, "keep_cooling", details)


def judge_shallow_cooling(
    depth_inches: Decimal, air: Temperature, profile: Profile, *, uncovered: bool
) -> Judgement:
    """Judge the untimed shallow method: uncovered, thin enough, in cold air; only where the code has it."""
    depth, air_max = profile.limit("cooling_shallow_depth_max"), profile.limit("cooling_shallow_air_max")
    citations = (depth.citation, air_max.citation)
    limits = Range(depth.unit, high=depth.value)

    def failed(reason: str, action: str) -> Judgement:
        return Judgement(Verdict.FAIL, reason, citations, limits, action)

    if not depth.value:
        return failed("method_not_allowed", "take_readings")
    if depth_inches > depth.value:
        return failed("too_deep", "use_shallower_pan")
    if not uncovered:
        return failed("covered", "uncover")
    if warmer_than(air, air_max):
        return failed("air_too_warm", "take_readings")
    return Judgement(Verdict.PASS, "in_range", citations, limits)


@dataclass(frozen=True, slots=True)
class PlantCoolingLeg:
    """One leg of a meat plant's cooling option: from, to (degrees Fahrenheit) and the hours allowed.

    For inspected plants only: a restaurant may not use it without an approved plan.
    """

    option: str
    start: Temperature
    end: Temperature
    hours_max: Decimal
    citation: Citation


@cache
def plant_cooling_legs() -> tuple[PlantCoolingLeg, ...]:
    """Return the plant cooling options of FSIS Appendix B, to tell them apart from restaurant rules."""
    return tuple(
        PlantCoolingLeg(
            row["option"],
            Temperature(Decimal(row["start_f"])),
            Temperature(Decimal(row["end_f"])),
            Decimal(row["hours_max"]),
            Citation(row["document"], row["section"], "meat plants", cast(Flag, row["flag"]), row["note"]),
        )
        for row in read_table("plant_cooling")
    )
