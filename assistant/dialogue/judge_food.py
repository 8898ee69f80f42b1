"""Judges a food's temperature when no place was said: raw food on the fire, raw food cold, live shellfish."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.dialogue.answer import degrees, plain
from assistant.rules import holding, receiving
from assistant.rules.basis import Judgement, Temperature, Verdict
from assistant.rules.cooking import judge_cook
from assistant.rules.food_names import find_food
from assistant.rules.profile import Profile
from assistant.rules.receiving import Delivery

COOKING = "cooking"
"""What a reading was taken of that is told to be on the fire."""
ON_THE_FIRE = 90
_COLD = 70
"""Above the one (Fahrenheit) raw food is taken to be cooking, up to the other to be kept cold: judgement."""
_BIVALVES = {"mollusc_bivalve", "mollusc_for_raw_service"}


def judge_food(
    name: str, reading: Temperature, profile: Profile, held_s: Decimal | None = None, *, cooks: bool = False
) -> tuple[str, Judgement] | None:
    """Return the topic of the reply and the judgement, or ``None`` where the place has to be known.

    ``held_s``: for how many seconds the food was told to have stayed there; ``cooks``: it is on the fire.
    """
    food = find_food(name)
    if food is None or not (food.raw_animal or food.served_raw):
        return None
    degrees_f = reading.in_unit("F")
    if food.food_class in _BIVALVES and not cooks and degrees_f <= _COLD:
        return "shellfish", _shellfish(reading, profile)
    if food.raw_animal and (cooks or degrees_f >= ON_THE_FIRE):
        return "cook", _cooking(judge_cook(food, reading, profile, held_s), reading)
    if degrees_f <= _COLD:
        return "cold_food", holding.judge_cold_holding(reading, profile)
    return None


def _cooking(judged: Judgement, reading: Temperature) -> Judgement:
    """A food that is not done yet has not failed: it goes on cooking."""
    hold, instant = judged.details.get("hold_here_s"), judged.details.get("instant")
    details = {
        **judged.details,
        "hold": _span_text(hold) if isinstance(hold, Decimal) else "",
        "or_instant": f", or go to {degrees(instant, 'F')}" if isinstance(instant, Decimal) and hold else "",
    }
    if judged.verdict is Verdict.FAIL:
        reason = "still_cooking" if judged.reason == "too_low" else judged.reason
        return replace(judged, verdict=Verdict.CANNOT_JUDGE, reason=reason, details=details)
    return replace(judged, details=details)


def _span_text(seconds: Decimal) -> str:
    """Return a time as said: "17 seconds", "4 minutes"."""
    minutes = seconds / 60
    whole = minutes >= 2 and minutes == int(minutes)
    return f"{plain(minutes)} minutes" if whole else f"{plain(seconds)} seconds"


def _shellfish(reading: Temperature, profile: Profile) -> Judgement:
    air = profile.limit("receive_shellfish_air_max")
    judged = receiving.judge_delivery(Delivery.SHELLFISH, reading, profile)
    days = profile.limit("shellfish_tag_days")
    more = {"air": degrees(air.value, air.unit), "tag_days": str(days.value)}
    return replace(judged, details={**judged.details, **more})
