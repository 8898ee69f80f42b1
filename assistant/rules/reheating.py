"""Reheating for hot holding: how hot, how long, how fast, and what does not reheat."""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum

from assistant.rules.basis import Citation, Judgement, Limit, Range, Temperature, Verdict
from assistant.rules.compare import assumed_detail, colder_than
from assistant.rules.cooking import group_target, judge_target
from assistant.rules.foods import Food
from assistant.rules.profile import Profile
from assistant.rules.roasts import has_roast_table

ONE_ORDER = Citation("FDA Food Code 2022", "3-403.10", note="properly cooked and cooled, served at once")
NO_STEAM_TABLE = Citation("training material", "holding equipment does not reheat")


class Reheat(StrEnum):
    """What is reheated, and how."""

    HOUSE = "cooked on site"
    COMMERCIAL = "commercially processed"
    MICROWAVE = "microwave"
    UNSLICED_ROAST = "unsliced roast"
    ONE_ORDER = "for one order"


def reheat_kind(food: Food, *, cooled_on_site: bool = False) -> Reheat:
    """Return how ``food`` counts; a maker's food heated and cooled on site counts as cooked there."""
    if food.reheat == "commercial" and not cooled_on_site:
        return Reheat.COMMERCIAL
    return Reheat.HOUSE


def judge_reheat(
    kind: Reheat,
    reading: Temperature,
    profile: Profile,
    *,
    held_s: Decimal | None = None,
    minutes: Decimal | None = None,
    stand_s: Decimal | None = None,
) -> Judgement:
    """Judge reheated food.

    ``held_s`` is the hold at the reading, ``stand_s`` the covered stand after a microwave, ``minutes``
    the time from the cold limit to the reading. Food for one order may be served at any temperature.
    """
    if kind is Reheat.ONE_ORDER:
        return Judgement(Verdict.PASS, "any_temperature_for_one_order", (ONE_ORDER,))
    if kind is Reheat.UNSLICED_ROAST and has_roast_table(profile):
        return judge_target(group_target("roast", profile), reading, held_s)
    limit, hold, waited = _figures(kind, profile, held_s, stand_s)
    allowed = profile.limit("reheat_minutes_max")
    sources = (limit.citation, allowed.citation)
    span = Range(limit.unit, low=limit.value)
    details = assumed_detail(limit, allowed) | {"hold_s": hold.value if hold else Decimal(0)}
    if minutes is not None and minutes > allowed.value:
        return Judgement(Verdict.FAIL, "too_long", sources, span, "discard", details)
    if colder_than(reading, limit):
        return Judgement(Verdict.FAIL, "too_low", sources, span, "keep_heating", details)
    if hold is not None and hold.value > 0:
        unheld = _hold(kind, hold, waited, sources, span, details)
        if unheld is not None:
            return unheld
    if minutes is None:
        return Judgement(Verdict.CANNOT_JUDGE, "time_unknown", sources, span, "ask_since_when", details)
    return Judgement(Verdict.PASS, "in_range", sources, span, details=details)


def judge_holding_equipment() -> Judgement:
    """Judge reheating in a steam table, warmer or other holding equipment: it is not made for that."""
    return Judgement(Verdict.FAIL, "holding_equipment", (NO_STEAM_TABLE,), action="reheat_on_stove_first")


def _figures(
    kind: Reheat, profile: Profile, held_s: Decimal | None, stand_s: Decimal | None
) -> tuple[Limit, Limit | None, Decimal | None]:
    """Return the temperature, the time to wait at it if there is one, and how long was waited."""
    if kind is Reheat.COMMERCIAL:
        return profile.limit("reheat_commercial_min"), None, None
    if kind is Reheat.MICROWAVE:
        return profile.limit("reheat_microwave_min"), profile.limit("reheat_microwave_stand_min"), stand_s
    return profile.limit("reheat_house_min"), profile.limit("reheat_house_hold"), held_s


def _hold(
    kind: Reheat,
    hold: Limit,
    waited: Decimal | None,
    sources: tuple[Citation, ...],
    span: Range,
    details: dict[str, Decimal | str],
) -> Judgement | None:
    """Return what is wrong with the hold or the stand, ``None`` if nothing is."""
    name, action = ("stand", "stand_covered") if kind is Reheat.MICROWAVE else ("hold", "hold_longer")
    if waited is None:
        return Judgement(Verdict.CANNOT_JUDGE, f"{name}_unknown", sources, span, action, details)
    if waited < hold.value:
        return Judgement(Verdict.FAIL, f"{name}_too_short", sources, span, action, details)
    return None
