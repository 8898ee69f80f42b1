"""Answers about food held by time alone, and food that sat out."""

from __future__ import annotations

from datetime import datetime
from decimal import ROUND_DOWN, Decimal
from itertools import pairwise

from assistant.dialogue.answer import Answer, Request, answers, capital, plain
from assistant.dialogue.answers.advice import asked_as, told
from assistant.dialogue.answers.food_words import controlled_once, made_here
from assistant.dialogue.answers.places import kinds_said
from assistant.dialogue.moments import hours_of, past_moment, shown_time
from assistant.dialogue.slots import FELL, Slots
from assistant.rules.basis import Citation, Verdict
from assistant.rules.cooling_curve import hours_between
from assistant.rules.time_control import (
    TimeHold,
    discard_time,
    hours_allowed,
    judge_time_hold,
    judge_time_out,
)
from intents.quantities import Clock, quantities

COLD_START, HOT_START = "time_control_cold_start_max", "time_control_hot_start_min"
PEAK = "time_control_peak_max"


def _hold(request: Request, hours: Decimal | None = None) -> TimeHold:
    start = request.profile.limit(COLD_START if request.slots.has("as_cold") else HOT_START)
    return TimeHold("four_hours", start.temperature, hours)


@answers("time_discard")
def when_out(request: Request) -> Answer:
    """Say when food that left temperature control at a time has to go."""
    start = _went_out(request)
    if start is None:
        return Answer("ask_clock", ask="clock")
    hold = _hold(request)
    limit = hours_allowed(hold, request.profile)
    end = discard_time(start, hold, request.profile)
    values = {"time": shown_time(end), "hours": plain(limit.value)}
    # Said without am or pm and already over: the coming time may be meant, so only the hours are sure.
    open_ = any(clock.endswith("?") for clock in request.slots.clocks[:1])
    past = end <= request.now and not open_
    verdict = Verdict.FAIL if past else None
    return told(request, "past" if past else "discard", limit.citation, values=values, verdict=verdict)


def _went_out(request: Request) -> datetime | None:
    """Return when the food went out; for "do I bin it at noon?" what was told and noted of it just before."""
    slots, noted = request.slots, _noted(request)
    roles = slots.meaning.roles if slots.meaning is not None else ()
    if slots.clocks and (noted is None or {"at", "since"} & {*roles}):
        return past_moment(slots.clocks[0], request.now)
    return noted


def _noted(request: Request) -> datetime | None:
    """Return since when the food is out, as it was told and noted just before."""
    lines = (request.views.line(number) for number in reversed(request.last_ids))
    of_it = (e for e in lines if e is not None and not e.withdrawn and _of_it(request.slots, e.now.note))
    return next((datetime.fromisoformat(e.now.said_at) for e in of_it if e.now.said_at), None)


def _of_it(slots: Slots, note: str) -> bool:
    """True for a note of the food named, or of any where none is."""
    return not slots.foods or any(food in note for food in slots.foods)


@answers("time_plan")
def plan(request: Request) -> Answer:
    """Say how long food may go without ice or heat, and on which conditions."""
    profile, slots = request.profile, request.slots
    if slots.meaning is not None and "since" in slots.meaning.roles and _from_to(slots) is None:
        return asked_as(sat_out, request, "time_out")  # "cracked in a bowl since morning": it is out already
    hot, four = profile.limit("time_control_hot_hours_max"), profile.limit("time_control_hours_max")
    limit = four if slots.has("as_cold") else min(four, hot, key=lambda each: each.value)
    limits = {"start": COLD_START, "peak": PEAK, "hot": HOT_START, "hours": limit.key}
    asked = slots.measure("duration")
    hours = hours_of(asked) if asked else Decimal(0)
    if (told_of := _needs_no_clock(request, limits)) is not None:
        return told_of
    if judge_time_hold(_hold(request, hours), profile).passed:
        return told(request, "four", limit.citation, limits=limits)
    start, peak = profile.limit(COLD_START).temperature, profile.limit(PEAK).temperature
    six = (
        not slots.has("as_hot") and judge_time_hold(TimeHold("six_hours", start, hours, peak), profile).passed
    )
    if six:  # its hours are those of hot food, whatever was asked about
        return told(request, "six", limit.citation, limits=limits | {"hours": hot.key})
    return told(request, "no", limit.citation, limits=limits)


def _needs_no_clock(request: Request, limits: dict[str, str], *sources: Citation) -> Answer | None:
    """Say of food without temperature control that no clock runs, or from when on it does.

    Of several foods one that needs it decides: "the mayo with the egg salad".
    """
    foods = [made_here(request, request.slots.food(i)) for i in range(len(request.slots.foods))]
    food = foods[0] if foods else None
    once = controlled_once(food)
    if food is None or once is None or any(controlled_once(each) is None for each in foods):
        return None
    name = capital(request.slots.foods[0])
    if once:
        return told(request, "cut", *sources, limits=limits, food=name, once=once)
    return told(request, "dry", food.citation, limits=limits, food=name)


@answers("time_out")
def sat_out(request: Request) -> Answer:
    """Judge food that sat out: the hours said, or since a clock time; unknown means throw it out."""
    slots, profile = request.slots, request.profile
    hours, fell = _hours_out(request), slots.has(FELL)
    judged = judge_time_out([hours], profile)
    limits = {"hours": "hot_rescue_hours_max" if fell else "time_control_hours_max"}
    if (told_of := _needs_no_clock(request, limits, *judged.citations)) is not None:
        return told_of
    if hours is None and not slots.has("unknown_time"):
        ask = "duration|clock|unknown_time"
        return told(request, "ask_since", *judged.citations, limits=limits, ask=ask)
    if hours is None:
        return told(request, "unknown", *judged.citations, limits=limits, verdict=judged.verdict)
    left = profile.value(limits["hours"]) - hours
    if left <= 0:
        return told(request, "over", *judged.citations, limits=limits, verdict=judged.verdict)
    tenths = left.quantize(Decimal("0.1"), ROUND_DOWN)
    text = f"{plain(tenths)} h" if left >= 1 else f"{round(left * 60)} min"
    if fell:  # it is reheated or goes, as was said when it failed
        source = profile.limit(limits["hours"]).citation
        return told(request, "fell", source, limits=limits | {"reheat": "reheat_house_min"}, left=text)
    return told(request, "under", *judged.citations, limits=limits, left=text)


@answers("overnight_plan")
def overnight(request: Request) -> Answer:
    """Say whether food may be left somewhere overnight: cold and covered, or hot all night, or not at all."""
    slots, kinds = request.slots, kinds_said(request)
    food = made_here(request, slots.food(0))
    if food is not None and food.known and not food.tcs and not food.raw_animal:
        return told(request, "dry", food.citation, verdict=Verdict.PASS, food=slots.foods[0])
    if slots.has("heat_lost"):
        return told(request, "found")
    return told(request, "cold" if kinds and kinds <= {"cold", "freezer"} else "warm")


def _hours_out(request: Request) -> Decimal | None:
    """Return the hours that were told, or that passed since the time told; ``None``: not known."""
    slots = request.slots
    if slots.has("unknown_time"):
        return None
    said = slots.measure("duration")
    if said is not None:
        return hours_of(said)
    still_out = _still_out(request)
    if not still_out and (between_two := _from_to(slots)) is not None:
        return between_two
    noted = _noted(request) if slots.asked and slots.foods and not slots.clocks else None
    if noted is None and (not slots.clocks or (len(slots.clocks) > 1 and not still_out)):
        return None
    start = noted or min(past_moment(clock, request.now) for clock in slots.clocks)
    between = hours_between(start, request.now)
    return Decimal(between.numerator) / Decimal(between.denominator)


def _still_out(request: Request) -> bool:
    """True where what was read last failed: what ended before that ended nothing."""
    lines = [request.views.line(number) for number in request.last_ids]
    return any(line is not None and not line.withdrawn and line.now.verdict == "fail" for line in lines)


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
