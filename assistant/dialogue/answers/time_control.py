"""Answers about food held by time alone, and food that sat out."""

from __future__ import annotations

from decimal import ROUND_DOWN, Decimal
from itertools import pairwise

from assistant.dialogue.answer import Answer, Request, answers, degrees, plain
from assistant.dialogue.answers.food_words import capital, controlled_once, made_here
from assistant.dialogue.moments import hours_of, past_moment, shown_time
from assistant.dialogue.slots import Slots
from assistant.rules import date_marking
from assistant.rules.basis import Limit, Temperature, Verdict
from assistant.rules.cooling_curve import hours_between
from assistant.rules.time_control import TimeHold, discard_time, hours_allowed, judge_time_out

_WAS_OUT = ("discard", "dump_word", "still_use", "still_good", "out_word", "do_now")

_MIXED = frozenset("platter platters plate plates tray trays sandwich sandwiches salad salads".split())
"""Words of a dish that holds more than the food named with it ("a mayo platter")."""


def out_of_control(slots: Slots) -> bool:
    """True for food asked about once it is out of the cooler or off the heat: its days do not count there.

    "Before I throw it out" speaks of no such place.
    """
    if slots.has("out_of_pack", "froze", "day_number_word"):
        return False
    last_out = slots.words[-1:] == ("out",) and not slots.has("dump_word", "go_out_word")
    return slots.has("once_out") or last_out


def _hold(request: Request) -> TimeHold:
    hot = request.profile.limit("time_control_hot_start_min")
    cold = request.profile.limit("time_control_cold_start_max")
    limit = cold if request.slots.has("cold_word") else hot
    return TimeHold("four_hours", Temperature(limit.value, "C" if limit.unit == "C" else "F"), None)


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
def plan(request: Request) -> Answer | None:
    """Say how long food may go without ice or heat, and on which conditions."""
    profile = request.profile
    cold, hot = profile.limit("time_control_cold_hours_max"), profile.limit("time_control_hot_hours_max")
    four = profile.limit("time_control_hours_max")
    if request.slots.has("time_control_word") and request.slots.has("past_four"):
        return Answer("six_no", {"hours": plain(four.value)}, (four.citation,))
    asked = request.slots.measure("duration")
    hours = hours_of(asked) if asked else None
    if hours is not None and hours >= 24:
        return None
    values = {
        "start": _shown(profile.limit("time_control_cold_start_max")),
        "peak": _shown(profile.limit("time_control_peak_max")),
        "hot": _shown(profile.limit("time_control_hot_start_min")),
    }
    if request.slots.has("hot_word") and hours is not None and hours > hot.value:
        return Answer("hot", {**values, "hours": plain(hot.value)}, (hot.citation,))
    if hours is not None and hours > four.value:
        if hours <= cold.value:
            return Answer("six", values, (cold.citation,))
        return Answer("six_no", {**values, "hours": plain(cold.value)}, (cold.citation,))
    food = made_here(request, request.slots.food(0))
    once = controlled_once(food)
    if food is not None and once == "":
        return Answer("dry", {"food": capital(request.slots.foods[0])}, (food.citation,))
    limit = hot if request.slots.has("hot_word") else four
    values["hours"] = plain(limit.value)
    if once:
        return Answer(
            "cut", {**values, "food": capital(request.slots.foods[0]), "once": once}, (limit.citation,)
        )
    if request.slots.has("hold_word", "on_line") and not out_of_control(request.slots):
        days = date_marking.days_allowed(profile)
        values["cold"], values["days"] = _shown(profile.limit("cold_holding_max")), plain(days.value)
        return Answer("hold", values, (limit.citation, days.citation))
    return Answer("four", values, (limit.citation,))


@answers("time_out")
def sat_out(request: Request) -> Answer | None:
    """Judge food that sat out: the hours said, or since a clock time; unknown means throw it out."""
    if request.slots.has("how", "where", "shelf") and not request.slots.has("out_word", "how_long"):
        return None  # "how do I store the lasagna overnight"
    kept_cold = request.slots.has("cold_place") and not request.slots.has(*_WAS_OUT, "off_word", "power_out")
    if kept_cold and request.slots.has("overnight") and not request.slots.measures:
        return None  # "the dough rests overnight in the walk-in": it is where it belongs
    if request.slots.has("how_long") and request.slots.words[-1:] == ("left",):
        return None  # "how long left" of cooling
    hours = _hours_out(request)
    judged = judge_time_out([hours], request.profile)
    limit = request.profile.limit("time_control_hours_max")
    values = {"hours": plain(limit.value), "cold": _shown(request.profile.limit("cold_holding_max"))}
    slots = request.slots
    if slots.has("can", "should") and slots.has("leave_plan", "overnight") and not slots.has(*_WAS_OUT):
        return None  # "can I leave the stock on the stove overnight": nothing stood out yet
    food = made_here(request, slots.food(0))
    once = controlled_once(food)
    if food is not None and once == "" and not _MIXED & set(slots.words):
        return Answer("dry", {"food": capital(slots.foods[0])}, (food.citation,))
    if once:
        return Answer("cut", {**values, "food": capital(slots.foods[0]), "once": once}, judged.citations)
    if hours is None and slots.has("long_while", "hot_spot") and not slots.has("unknown_time"):
        return Answer("ask_since", values, judged.citations, ask="duration|clock|unknown_time")
    if hours is None:
        return Answer("unknown", values, judged.citations, judged.verdict)
    if not judged.passed or hours >= limit.value:
        if request.slots.has("bar_place"):
            values["hot"] = _shown(request.profile.limit("hot_holding_min"))
            return Answer("bar", values, judged.citations, judged.verdict)
        return Answer("over", values, judged.citations, judged.verdict)
    left = limit.value - hours
    tenths = left.quantize(Decimal("0.1"), ROUND_DOWN)
    values["left"] = f"{plain(tenths)} h" if left >= 1 else f"{round(left * 60)} min"
    return Answer("under", values, judged.citations)


@answers("overnight_plan")
def overnight(request: Request) -> Answer | None:
    """Say whether food may be left somewhere overnight: cold and covered, or hot all night, or not at all."""
    slots, profile = request.slots, request.profile
    food = made_here(request, slots.food(0))
    cold, hot = profile.limit("cold_holding_max"), profile.limit("hot_holding_min")
    values = {"cold": _shown(cold), "hot": _shown(hot)}
    if slots.has("freezer_word", "freezer_place"):
        return None
    if food is not None and food.known and not food.tcs:
        return Answer("dry", {"food": slots.foods[0]}, (food.citation,))
    kinds = {request.site.kind_of(place) for place in slots.places}
    warm = slots.has("out_word", "leave_out", "counter", "stove_word", "hot_place", "off_word", "without_ice")
    if not warm and (slots.has("cold_place", "place_word") or kinds & {"cold_holding", "egg_cooler"}):
        return Answer("cold", values, (cold.citation,))
    held = slots.has("hot_place") and not slots.has("off_word", "stove_word", "out_word", "counter")
    key = "held" if held or slots.measure("temperature", "number") else "warm"
    return Answer(key, values, (hot.citation, cold.citation))


def _from_to(slots: Slots) -> Decimal | None:
    """Return the hours of "from two to five"; ``None`` where no such span was said."""
    said = slots.heard.measures if slots.heard is not None else ()
    numbers = [m for m in said if m.kind == "number" and 0 < m.value <= 12]
    for first, second in pairwise(numbers):
        to = slots.words[first.end : second.start]
        if slots.words[first.start - 1 : first.start] == ("from",) and to in (("to",), ("till",), ("until",)):
            return (second.value - first.value + 12) % 12
    return None


def _hours_out(request: Request) -> Decimal | None:
    if request.slots.has("unknown_time"):
        return None
    said = request.slots.measure("duration")
    if said is not None:
        return hours_of(said)
    between_two = _from_to(request.slots)
    if between_two is not None:
        return between_two
    if request.slots.clocks:
        start = past_moment(request.slots.clocks[0], request.now)
        between = hours_between(start, request.now)
        return Decimal(between.numerator) / Decimal(between.denominator)
    return None
