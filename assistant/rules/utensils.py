"""In-use utensils between uses: where they may rest, and how warm the water has to be."""

from __future__ import annotations

from typing import Literal

from assistant.rules.basis import Citation, Judgement, Range, Temperature, Verdict
from assistant.rules.compare import assumed_detail, colder_than, warmer_than
from assistant.rules.profile import Profile

Rest = Literal[
    "in_food_handle_out",
    "in_food_handle_in",
    "clean_surface",
    "running_water",
    "standing_water",
    "closed_dry_bin",
    "clean_dry_place",
    "in_sanitizer",
]
SOURCE = Citation("WAC 246-215", "03333", "washington", "READ", "model code 3-304.12")


def judge_utensil_rest(
    rest: Rest, profile: Profile, water: Temperature | None = None, *, tcs: bool = True
) -> Judgement:
    """Judge where an in-use utensil rests; ``water`` is the temperature of standing water (``None``: room).

    A clean dry place is enough only where the food is not TCS; running water is for moist food.
    """
    if rest == "standing_water":
        return _water(water, profile)
    if rest == "in_food_handle_in":
        return Judgement(Verdict.FAIL, "handle_in_food", (SOURCE,), action="handle_out")
    if rest == "in_sanitizer":
        return Judgement(Verdict.FAIL, "utensil_in_sanitizer", (SOURCE,), action="clean_utensil")
    if rest == "clean_dry_place" and tcs:
        return Judgement(Verdict.FAIL, "tcs_food", (SOURCE,), action="clean_every_four_hours")
    cleaned = "clean_every_four_hours" if rest == "clean_surface" else ""
    return Judgement(Verdict.PASS, "utensil_ok", (SOURCE,), action=cleaned)


def _water(water: Temperature | None, profile: Profile) -> Judgement:
    hot, cold = profile.limit("utensil_water_hot_min"), profile.limit("utensil_water_cold_max")
    limits = Range(hot.unit, low=hot.value)
    details = {**assumed_detail(hot, cold), "cold_max": cold.value}
    citations = (hot.citation, cold.citation)
    if water is not None and not colder_than(water, hot):
        return Judgement(Verdict.PASS, "water_hot", citations, limits, details=details)
    if water is not None and not warmer_than(water, cold):
        return Judgement(Verdict.PASS, "water_cold", citations, limits, details=details)
    return Judgement(Verdict.FAIL, "water_lukewarm", citations, limits, "hot_water_or_running", details)
