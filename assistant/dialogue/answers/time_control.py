"""Answers about food held by time alone, and food that sat out."""

from __future__ import annotations

from decimal import ROUND_DOWN, Decimal
from itertools import pairwise

from assistant.dialogue.answer import Answer, Request, answers, degrees, plain
from assistant.dialogue.answers.food_words import capital, controlled_once, made_here
from assistant.dialogue.answers.places import kinds_said
from assistant.dialogue.moments import hours_of, past_moment, shown_time
from assistant.dialogue.slots import Slots
from assistant.rules.basis import Limit, Verdict
from assistant.rules.cooling_curve import hours_between
from assistant.rules.time_control import (
    TimeHold,
    discard_time,
    hours_allowed,
    judge_time_hold,
    judge_time_out,
)
from intents.quantities import Clock, quantities


def _hold(request: Request, hours: Decimal | None = None) -> TimeHold:
    hot = request.profile.limit("time_control_hot_start_min")
    cold = request.profile.limit("time_control_cold_start_max")
    limit = cold if request.slots.has("as_cold") else hot
    return TimeHold("four_hours", limit.temperature, hours)


def _shown(limit: Limit) -> str:
    return degrees(limit.value, limit.unit)


@answers("time_discard")
def when_out(request: Request) -> Answer:
    """Say when food that left temperature control at a time has to go."""
    if not request.slots.clocks:
        return Answer("ask_clock", ask="clock")
    hold = _hold(request)
    limit = hours_allowed(hold, request.profile)
    start = past_moment(request.slots.clocks[0], request.now)
    end = discard_time(start, hold, request.profile)
    values = {"time": shown_time(end), "hours": plain(limit.value)}
    if request.slots.clocks[0].endswith("?") and end <= request.now:
        # Said without am or pm and already over: the coming time may be meant, so only the hours are sure.
        return Answer("discard", values, (limit.citation,))
    if end <= request.now:
        return Answer("past", values, (limit.citation,), Verdict.FAIL)
    return Answer("discard", values, (limit.citation,))


@answers("time_plan")
def plan(request: Request) -> Answer:
    """Say how long food may go without ice or heat, and on which conditions."""
    profile, slots = request.profile, request.slots
    cold, hot = profile.limit("time_control_cold_hours_max"), profile.limit("time_control_hot_hours_max")
    four = profile.limit("time_control_hours_max")
    limit = four if slots.has("as_cold") else min(four, hot, key=lambda each: each.value)
    asked = slots.measure("duration")
    hours = hours_of(asked) if asked else Decimal(0)
    values = {
        "start": _shown(profile.limit("time_control_cold_start_max")),
        "peak": _shown(profile.limit("time_control_peak_max")),
        "hot": _shown(profile.limit("time_control_hot_start_min")),
        "hours": plain(limit.value),
    }
    food = made_here(request, slots.food(0))
    once = controlled_once(food)
    if food is not None and once == "":
        return Answer("dry", {"food": capital(slots.foods[0])}, (food.citation,))
    if once:
        cut = {**values, "food": capital(slots.foods[0]), "once": once}
        return Answer("cut", cut, (limit.citation,))
    short = _hold(request, hours)
    if judge_time_hold(short, profile).passed:
        return Answer("four", values, (limit.citation,))
    peak = profile.limit("time_control_peak_max")
    start = profile.limit("time_control_cold_start_max")
    long = TimeHold("six_hours", start.temperature, hours, peak.temperature)
    if not slots.has("as_hot") and judge_time_hold(long, profile).passed:
        return Answer("six", values, (cold.citation, limit.citation))
    return Answer("no", values, (limit.citation,))


@answers("time_out")
def sat_out(request: Request) -> Answer:
    """Judge food that sat out: the hours said, or since a clock time; unknown means throw it out."""
    slots, profile = request.slots, request.profile
    hours = _hours_out(request)
    judged = judge_time_out([hours], profile)
    limit = profile.limit("time_control_hours_max")
    values = {"hours": plain(limit.value), "cold": _shown(profile.limit("cold_holding_max"))}
    food = made_here(request, slots.food(0))
    once = controlled_once(food)
    if food is not None and once == "":
        return Answer("dry", {**values, "food": capital(slots.foods[0])}, (food.citation,))
    if once:
        return Answer("cut", {**values, "food": capital(slots.foods[0]), "once": once}, judged.citations)
    if hours is None and not slots.has("unknown_time"):
        return Answer("ask_since", values, judged.citations, ask="duration|clock|unknown_time")
    if hours is None:
        return Answer("unknown", values, judged.citations, judged.verdict)
    if not judged.passed or hours >= limit.value:
        return Answer("over", values, judged.citations, judged.verdict)
    left = limit.value - hours
    tenths = left.quantize(Decimal("0.1"), ROUND_DOWN)
    values["left"] = f"{plain(tenths)} h" if left >= 1 else f"{round(left * 60)} min"
    return Answer("under", values, judged.citations)


@answers("overnight_plan")
def overnight(request: Request) -> Answer:
    """Say whether food may be left somewhere overnight: cold and covered, or hot all night, or not at all."""
    slots, kinds = request.slots, kinds_said(request)
    food = made_here(request, slots.food(0))
    cold, hot = request.profile.limit("cold_holding_max"), request.profile.limit("hot_holding_min")
    values = {"cold": _shown(cold), "hot": _shown(hot)}
    if food is not None and food.known and not food.tcs and not food.raw_animal:
        return Answer("dry", {"food": slots.foods[0]}, (food.citation,))
    if kinds and kinds <= {"cold", "freezer"}:
        return Answer("cold", values, (cold.citation,))
    return Answer("warm", values, (hot.citation, cold.citation))


def _hours_out(request: Request) -> Decimal | None:
    """Return the hours that were told, or that passed since the time told; ``None``: not known."""
    slots = request.slots
    if slots.has("unknown_time"):
        return None
    said = slots.measure("duration")
    if said is not None:
        return hours_of(said)
    if (between_two := _from_to(slots)) is not None:
        return between_two
    if len(slots.clocks) != 1:
        return None
    start = past_moment(slots.clocks[0], request.now)
    between = hours_between(start, request.now)
    return Decimal(between.numerator) / Decimal(between.denominator)


_UNTIL = {"to", "till", "until"}


def _from_to(slots: Slots) -> Decimal | None:
    """Return the hours of "from nine to two", less than half a day; ``None`` where no such span was said."""
    times = [
        (quantity.marker, meaning)
        for quantity in quantities(slots.words, slots.language)
        for meaning in quantity.meanings
        if isinstance(meaning, Clock)
    ]
    for (opens, start), (ends, end) in pairwise(times):
        if opens == "from" and ends in _UNTIL:
            minutes = (end.hours[0] * 60 + end.minute - start.hours[0] * 60 - start.minute) % (12 * 60)
            return Decimal(minutes) / 60
    return None
