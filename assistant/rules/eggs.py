"""Eggs: which plan asks for which cooking, and where pasteurized egg takes the place of raw."""

from __future__ import annotations

from typing import Literal

from assistant.rules.basis import Citation, Judgement, Verdict
from assistant.rules.cooking import CookTarget, group_target
from assistant.rules.foods import Food
from assistant.rules.profile import Profile

EggPlan = Literal["to_order", "pooled", "held"]
PASTEURIZED = Citation("California Retail Food Code", "114012", note="dishes with egg that is not cooked")
SUSCEPTIBLE = Citation("FDA Food Code 2022", "3-801.11", flag="MEMORY")


def egg_target(plan: EggPlan | None, profile: Profile) -> CookTarget:
    """Return the cooking for eggs: for one order served at once, else as pooled; unknown counts as pooled."""
    return group_target("eggs_to_order" if plan == "to_order" else "eggs_held", profile)


def judge_raw_egg(dish: Food, *, pasteurized: bool | None, highly_susceptible: bool = False) -> Judgement:
    """Judge a dish with egg that is not cooked through (Caesar, hollandaise, mousse, eggnog)."""
    sources = (PASTEURIZED, SUSCEPTIBLE) if highly_susceptible else (PASTEURIZED,)
    if pasteurized or "egg" not in dish.allergens:
        return Judgement(Verdict.PASS, "pasteurized_or_no_egg", sources)
    if pasteurized is None:
        return Judgement(Verdict.CANNOT_JUDGE, "egg_kind_unknown", sources, action="use_pasteurized")
    return Judgement(Verdict.FAIL, "raw_egg", sources, action="use_pasteurized")


def air_allowance(food: Food) -> bool:
    """True if the warmer air allowed for raw eggs in the shell holds: never for treated or broken eggs."""
    return food.food_class == "egg_shell_to_order"
