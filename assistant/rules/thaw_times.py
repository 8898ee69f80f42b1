"""How long thawing takes: USDA home estimates, used only for planning and never as a limit.

The estimates assume a cooler at 40 F or less, or cold water changed every half hour. The model code wants
running water and counts the time, so a large piece goes in the cooler.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import cast

from assistant.rules.basis import Citation, Flag, Judgement, Range, Verdict
from assistant.rules.foods import Food
from assistant.rules.profile import Profile
from assistant.rules.tables import read_table

BIG_THAW = Citation("USDA The Big Thaw", "times by weight", note="home estimates")

_SLOW_CLASSES = {
    "beef_intact",
    "veal_intact",
    "lamb_intact",
    "goat_intact",
    "pork_intact",
    "whole_roast",
    "game_farmed_intact",
}


@dataclass(frozen=True, slots=True)
class Estimate:
    """A span of time in ``unit`` (hours or days), both ends included, with its source."""

    low: Fraction
    high: Fraction
    unit: str
    citation: Citation


@dataclass(frozen=True, slots=True)
class ThawPlan:
    """When to move food to the cooler so that it is thawed at a given time.

    Moved later than ``start_by`` it may still be frozen inside; moved before ``not_before`` the days
    that thawed food keeps may have run out.
    """

    not_before: datetime
    start_by: datetime
    estimate: Estimate
    keeps: Estimate


def cooler_days(pounds: Decimal) -> Estimate:
    """Return days in the cooler: one day for every 4 to 5 pounds."""
    weight = Fraction(pounds)
    return Estimate(weight / 5, weight / 4, "days", BIG_THAW)


def cold_water_hours(pounds: Decimal) -> Estimate:
    """Return hours in cold water: half an hour a pound."""
    hours = Fraction(pounds) / 2
    return Estimate(hours, hours, "hours", BIG_THAW)


def turkey_cooler_days(pounds: Decimal) -> Estimate:
    """Return days in the cooler for a whole turkey; on the edge of two bands, the longer."""
    return _turkey(pounds, "cooler_days", "days")


def turkey_water_hours(pounds: Decimal) -> Estimate:
    """Return hours in cold water for a whole turkey; on the edge of two bands, the longer."""
    return _turkey(pounds, "water_hours", "hours")


def days_after_thawing(food: Food) -> Estimate:
    """Return the days raw food keeps in the cooler once thawed there; the shorter span if unsure.

    Food thawed in water or in the microwave is cooked at once instead.
    """
    kind = "slow" if food.food_class in _SLOW_CLASSES else "quick"
    row = next(row for row in read_table("thaw_after") if row["kind"] == kind)
    return Estimate(Fraction(row["days_low"]), Fraction(row["days_high"]), "days", _source(row))


def plan_cooler_thaw(needed_at: datetime, pounds: Decimal, food: Food) -> ThawPlan:
    """Plan back from the time at which cooking begins, by weight of one piece; a day at the least."""
    whole_turkey = food.species == "turkey" and food.food_class == "poultry" and pounds >= 4
    estimate = turkey_cooler_days(pounds) if whole_turkey else cooler_days(pounds)
    if estimate.high < 1:
        estimate = replace(estimate, high=Fraction(1))
    keeps = days_after_thawing(food)
    start_by = needed_at - _days(estimate.high)
    return ThawPlan(start_by - _days(keeps.low), start_by, estimate, keeps)


def check_water_estimate(estimate: Estimate, profile: Profile) -> Judgement:
    """Hold an estimate for thawing in water against the code's limit: past it, the cooler is the way."""
    limit = profile.limit("thaw_water_minutes_max")
    sources = (estimate.citation, limit.citation)
    span = Range(limit.unit, high=limit.value)
    if estimate.high * 60 > limit.value:
        return Judgement(Verdict.CANNOT_JUDGE, "estimate_past_limit", sources, span, "use_cooler")
    return Judgement(Verdict.PASS, "estimate_within_limit", sources, span)


def _turkey(pounds: Decimal, column: str, unit: str) -> Estimate:
    rows = read_table("thaw_turkey")
    if pounds < Decimal(rows[0]["from_pounds"]):
        return cooler_days(pounds) if unit == "days" else cold_water_hours(pounds)
    row = [row for row in rows if Decimal(row["from_pounds"]) <= pounds][-1]
    if pounds > Decimal(row["to_pounds"]):
        return cooler_days(pounds) if unit == "days" else cold_water_hours(pounds)
    return Estimate(Fraction(row[f"{column}_low"]), Fraction(row[f"{column}_high"]), unit, _source(row))


def _days(days: Fraction) -> timedelta:
    return timedelta(seconds=float(days * 86400))


def _source(row: Mapping[str, str]) -> Citation:
    return Citation(row["document"], row["section"], flag=cast(Flag, row["flag"]))
