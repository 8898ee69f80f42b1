"""Answers about how long thawing takes and may take: the water's clock, estimates, planning, keeping."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from assistant.dialogue.answer import Answer, Request, answers, plain
from assistant.dialogue.answers.advice import shown, told
from assistant.dialogue.answers.food_words import food_of
from assistant.dialogue.answers.thawing import thaw_answer
from assistant.dialogue.moments import hours_of, past_moment, shown_time
from assistant.rules import thaw_times, thawing
from assistant.rules.basis import Temperature, Verdict
from assistant.rules.compare import warmer_than
from assistant.rules.cooling_curve import hours_between
from assistant.rules.foods import Food, unknown_food
from assistant.rules.thaw_times import Estimate
from assistant.rules.units import pounds

DEGREES = ("temperature", "number")
WATER = "place_water"
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


@answers("thaw_water")
def water(request: Request) -> Answer:
    """Say how cold the running water has to be and how long food may stay in it, or judge either."""
    slots, profile = request.slots, request.profile
    food = food_of(request)
    reading = slots.temperature(request.site.kitchen.units) if slots.measure(*DEGREES) else None
    if reading is not None and reading.in_unit("C") < 0:
        return told(request, "water_odd", reading=shown(reading))
    if reading is not None and food is not None and _of_the_food(request):
        return _food_in_water(request, food, reading)
    if reading is not None and slots.measure("duration") is None:
        judged = thawing.judge_running_water(reading, profile, water_minutes=Decimal(0))
        reply = "water_ok" if judged.passed else "water_no"
        return thaw_answer(request, reply, verdict=judged.verdict, reading=shown(reading))
    if food is not None and food.ready_to_eat:
        return thaw_answer(request, "time_ready")
    minutes = _minutes_in_water(request)
    if minutes is None:
        return thaw_answer(request, "both")
    left = thawing.water_minutes_left(profile, minutes)
    text = f"{plain(left)} minutes" if left < 120 else f"{plain(Fraction(left) / 60)} hours"
    over = minutes > profile.value("thaw_water_minutes_max")
    reply = "time_out" if over else "time_left" if left > 0 else "time_up"
    return thaw_answer(request, reply, verdict=Verdict.FAIL if over else Verdict.PASS, left=text)


def _of_the_food(request: Request) -> bool:
    """True where the number is the food's: "the shrimp under the tap is at sixty", no "shrimp water"."""
    heard, spans = request.slots.heard, request.slots.food_spans
    number = request.slots.measure(*DEGREES)
    if heard is None or number is None or not spans or number.start < spans[0][0]:
        return False
    water = [c.start for c in heard.concepts if c.value == WATER and c.start < number.start]
    return not water or spans[0][1] < min(water)


def _food_in_water(request: Request, food: Food, reading: Temperature) -> Answer:
    """Judge the food's own temperature: over the cold limit raw food has its hours, ready-to-eat none."""
    cold = request.profile.limit("cold_holding_max")
    if not warmer_than(reading, cold):
        return thaw_answer(request, "food_cold", verdict=Verdict.PASS, reading=shown(reading))
    if food.ready_to_eat:
        return thaw_answer(request, "food_ready_over", verdict=Verdict.FAIL, reading=shown(reading))
    return thaw_answer(request, "food_over", reading=shown(reading))


def _minutes_in_water(request: Request) -> Decimal | None:
    """Return for how long food is in the water by what was said: a duration, or the time it went in."""
    spent, slots = request.slots.measure("duration"), request.slots
    if spent is not None:
        return hours_of(spent) * 60
    if not slots.clocks:
        return None
    since = hours_between(past_moment(slots.clocks[0], request.now), request.now)
    return Decimal(since.numerator) / Decimal(since.denominator) * 60


def _pounds(request: Request) -> Decimal | None:
    weight = request.slots.measure("weight") or request.slots.measure("number")
    if weight is None:
        return None
    exact = pounds(weight.value, weight.unit or "pound")
    return Decimal(float(exact)).quantize(Decimal("0.1"))


def span_text(estimate: Estimate) -> str:
    """Return an estimate in words ("4 to 5 days", "5 hours"), never below one of its unit."""
    low, high = max(Fraction(1), estimate.low), max(Fraction(1), estimate.high)
    low_text, high_text = (
        str(-(-low.numerator // low.denominator)),
        str(-(-high.numerator // high.denominator)),
    )
    unit = estimate.unit if high_text != "1" else estimate.unit.removesuffix("s")
    return f"{low_text} to {high_text} {unit}" if low_text != high_text else f"{high_text} {unit}"


def _cooler(request: Request, weight: Decimal) -> Estimate:
    food = food_of(request)
    whole_turkey = food is not None and food.species == "turkey" and food.food_class == "poultry"
    return thaw_times.turkey_cooler_days(weight) if whole_turkey else thaw_times.cooler_days(weight)


@answers("thaw_time")
def time_needed(request: Request) -> Answer:
    """Estimate how long thawing takes, by the weight of one piece."""
    weight = _pounds(request)
    if weight is None:
        return Answer("ask_weight", ask="weight")
    food = food_of(request)
    days = _cooler(request, weight)
    turkey = food is not None and food.species == "turkey"
    hours = thaw_times.turkey_water_hours(weight) if turkey else thaw_times.cold_water_hours(weight)
    judged = thaw_times.check_water_estimate(hours, request.profile)
    reply = "water" if judged.passed else "water_too_long"
    return thaw_answer(request, reply, *judged.citations, time=span_text(hours), days=span_text(days))


@answers("thaw_by")
def plan(request: Request) -> Answer:
    """Say when to move frozen food to the walk-in so that it is thawed in time."""
    weight = _pounds(request)
    if weight is None:
        return Answer("ask_weight", ask="weight")
    food = food_of(request) or unknown_food("it", raw_animal=True)
    needed = _needed_at(request)
    planned = thaw_times.plan_cooler_thaw(needed or request.now, weight, food)
    values = {"days": span_text(planned.estimate), "keeps": span_text(planned.keeps)}
    sources = (planned.estimate.citation, planned.keeps.citation, thawing.THAWING)
    if needed is None:
        return Answer("no_when", values, sources)
    if planned.start_by < request.now:
        return Answer("too_late", values, sources)
    start = planned.start_by
    return Answer("plan", {**values, "start": f"{start:%A} {shown_time(start)}"}, sources)


def _needed_at(request: Request) -> datetime | None:
    """Return the moment said, the next one that fits; noon of the day if only a day was said."""
    slots, now = request.slots, request.now
    day = next((i for i, name in enumerate(_WEEKDAYS) if slots.has(f"day_{name}")), None)
    clock = slots.clocks[0] if slots.clocks else ""
    if day is None and not clock and not slots.has("day_tomorrow", "day_today"):
        return None
    hour, minute = map(int, (clock.removesuffix("?") or "12:00").split(":"))
    if clock.endswith("?") and hour < 9:
        hour += 12  # a service time: "by six" is in the evening
    at = now.replace(hour=hour, minute=minute, second=0, microsecond=0)
    if day is not None:
        ahead = (day - now.weekday()) % 7
        at += timedelta(days=ahead if ahead or at > now else 7)
    elif slots.has("day_tomorrow") or at <= now:
        at += timedelta(days=1)
    return at


@answers("thaw_keeps")
def keeps(request: Request) -> Answer:
    """Say how long thawed food keeps."""
    food = food_of(request)
    if food is not None and food.ready_to_eat:
        return told(request, "ready", limits={"limit": "date_mark_days_max"})
    estimate = thaw_times.days_after_thawing(food or unknown_food("it", raw_animal=True))
    return told(request, "raw", estimate.citation, days=span_text(estimate))
