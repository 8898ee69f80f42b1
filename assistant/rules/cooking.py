"""How far a food has to be cooked, with every alternative, and whether a reading has reached it.

Temperatures are of the coldest part. A single quick reading is no hold: without a time only a
temperature that needs none can pass.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import cast

from assistant.rules.basis import Citation, Flag, Judgement, Range, Temperature, TemperatureUnit, Verdict
from assistant.rules.by_profile import Row, rows_in_force
from assistant.rules.compare import limit_unit
from assistant.rules.foods import Food
from assistant.rules.profile import Profile, load_profile
from assistant.rules.roasts import has_roast_table, roast_rows

MAKER = Citation("FDA Food Code 2022", "3-401.15", flag="MEMORY", note="the maker's cooking directions")


@dataclass(frozen=True, slots=True)
class CookStep:
    """One way to finish a food: reach ``temperature`` and hold it for ``hold_s`` seconds (0: at once)."""

    temperature: Temperature
    hold_s: Decimal
    citation: Citation
    assumed: bool = False

    def reached_by(self, reading: Temperature) -> bool:
        """True if the reading is not below the temperature, compared in the unit of the step."""
        unit = self.temperature.unit
        if reading.unit == unit:
            return reading.value >= self.temperature.value
        return reading.in_unit(unit) >= self.temperature.value


@dataclass(frozen=True, slots=True)
class CookTarget:
    """All ways to finish a food, the usual one first, all in one unit; ``group`` decided the figures."""

    group: str
    steps: tuple[CookStep, ...]

    @property
    def main(self) -> CookStep:
        """The way to name first."""
        return self.steps[0]

    @property
    def instant(self) -> CookStep | None:
        """The least temperature that needs no holding, if there is one."""
        ready = [step for step in self.steps if step.hold_s == 0]
        return min(ready, key=lambda step: step.temperature.value, default=None)


def cook_group(food: Food, profile: Profile, *, rare: bool = False) -> str:
    """Return the cook group of ``food`` under ``profile``; empty for food that needs no cooking.

    ``rare`` asks for beef ordered rare where the profile has its own figure for that.
    """
    if rare and food.species == "beef" and "cook_rare_beef_min" in profile.limits:
        return "rare_beef" if food.cook_group in {"meat", "roast"} else food.cook_group
    if food.cook_group == "roast" and not has_roast_table(profile):
        return "pork" if food.species == "pork" else "meat"
    return food.cook_group


def cook_target(food: Food, profile: Profile, *, rare: bool = False) -> CookTarget | None:
    """Return how far ``food`` is cooked; ``None`` if no figure holds (ready to eat, maker's directions)."""
    group = cook_group(food, profile, rare=rare)
    if group in {"", "maker"}:
        return None
    return group_target(group, profile)


def group_target(group: str, profile: Profile) -> CookTarget:
    """Return the ways to finish a cook group (fish, meat, ground, poultry, roast and so on).

    A figure that replaces the profile's own (a site's, or the strictest of all) drops the alternatives
    colder than itself.
    """
    if group == "roast" and has_roast_table(profile):
        return _roast_target()
    minimum, hold = profile.limit(f"cook_{group}_min"), profile.limit(f"cook_{group}_hold")
    main = CookStep(
        Temperature(minimum.value, limit_unit(minimum)),
        hold.value,
        minimum.citation,
        minimum.assumed or hold.assumed,
    )
    others = _alternatives(profile.name, group)
    if minimum != load_profile(profile.name).limit(minimum.key):
        others = tuple(step for step in others if main.reached_by(step.temperature))
    return CookTarget(group, (main, *others))


def judge_cook(
    food: Food,
    reading: Temperature,
    profile: Profile,
    held_s: Decimal | None = None,
    *,
    rare: bool = False,
) -> Judgement:
    """Judge a core reading that has been held for ``held_s`` seconds (``None``: no time was said)."""
    group = cook_group(food, profile, rare=rare)
    if group == "":
        return Judgement(Verdict.CANNOT_JUDGE, "needs_no_cooking", (food.citation,))
    if group == "maker":
        return Judgement(Verdict.CANNOT_JUDGE, "maker_directions", (MAKER,), action="read_the_pack")
    return judge_target(group_target(group, profile), reading, held_s)


def judge_target(target: CookTarget, reading: Temperature, held_s: Decimal | None) -> Judgement:
    """Judge a reading and its holding time against every way of a target."""
    main = target.main
    limits = Range(main.temperature.unit, low=main.temperature.value)
    reached = [step for step in target.steps if step.reached_by(reading)]
    passed = next((step for step in reached if step.hold_s <= (held_s or 0)), None)
    if passed is not None:
        return Judgement(Verdict.PASS, "in_range", (passed.citation,), limits, details=_details(target))
    if not reached:
        return Judgement(Verdict.FAIL, "too_low", (main.citation,), limits, "keep_cooking", _details(target))
    nearest = min(reached, key=lambda step: step.hold_s)
    details = _details(target) | {"hold_here_s": nearest.hold_s}
    if held_s is None:
        return Judgement(
            Verdict.CANNOT_JUDGE, "hold_unknown", (nearest.citation,), limits, "hold_or_go_hotter", details
        )
    return Judgement(Verdict.FAIL, "hold_too_short", (nearest.citation,), limits, "hold_longer", details)


def _details(target: CookTarget) -> dict[str, Decimal | str]:
    details: dict[str, Decimal | str] = {"hold_s": target.main.hold_s, "group": target.group}
    if target.instant is not None:
        details["instant"] = target.instant.temperature.value
    if target.main.assumed:
        details["assumed"] = f"cook_{target.group}_min"
    return details


@cache
def _roast_target() -> CookTarget:
    """The 145 F row is named first; the others, hotter and colder, are its alternatives."""
    steps = [_step(row) for row in roast_rows()]
    usual = next(step for step in steps if step.temperature.value == 145)
    return CookTarget("roast", (usual, *(step for step in steps if step is not usual)))


@cache
def _alternatives(profile_name: str, group: str) -> tuple[CookStep, ...]:
    if group in {"plant", "rare_beef"}:
        return ()
    rows: Iterable[Row] = rows_in_force("cook_alternatives", profile_name, "cook_group", (group, "all"))
    return tuple(_step(row) for row in rows if row["min"])


def _step(row: Row) -> CookStep:
    source = Citation(row["document"], row["section"], flag=cast(Flag, row["flag"]), note=row.get("note", ""))
    unit: TemperatureUnit = "C" if row["unit"] == "C" else "F"
    return CookStep(Temperature(Decimal(row["min"]), unit), Decimal(row["hold"]), source)
