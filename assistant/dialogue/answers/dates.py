"""Answers about date marks: the last day, freezing, day numbers, mixes."""

from __future__ import annotations

from datetime import date

from assistant.dialogue.answer import Answer, Request, answers, degrees, plain
from assistant.dialogue.answers.food_words import capital, controlled_once, food_of, made_here
from assistant.dialogue.answers.places import kinds_said
from assistant.dialogue.moments import day_said, shown_date
from assistant.rules import date_marking
from assistant.rules.basis import Citation, Limit, Verdict


def _facts(request: Request) -> tuple[Limit, dict[str, str], tuple[Limit, ...]]:
    days, hold = date_marking.days_allowed(request.profile), request.profile.limit("date_mark_hold_max")
    return days, {"days": plain(days.value), "hold": degrees(hold.value, hold.unit)}, (days, hold)


def _day_number(request: Request) -> int | None:
    found = request.slots.measure("number")
    return int(found.value) if found and found.value == int(found.value) and 0 < found.value < 100 else None


_DAYS = {"day": 1, "week": 7}


def _days_told(request: Request) -> int | None:
    """Return the days of "eight days", "two weeks"; ``None`` where none were said."""
    told = request.slots.measure("duration")
    return int(told.value * _DAYS[told.unit]) if told is not None and told.unit in _DAYS else None


@answers("date_mark")
def mark(request: Request) -> Answer:
    """Say the last day of use of food made, opened or cooked on a day (today if none is said)."""
    slots, hot = request.slots, request.profile.limit("hot_holding_min")
    days, values, limits = _facts(request)
    sources = tuple(limit.citation for limit in limits)
    if kinds_said(request) == {"hot"}:
        return Answer("held", {"hot": degrees(hot.value, hot.unit)}, (hot.citation,))
    food = made_here(request, food_of(request, cooked=True))
    if once := controlled_once(food):
        return Answer("cut", {**values, "food": slots.foods[0], "once": once}, sources)
    if food is not None and food.known and not food.tcs:
        return Answer("not_needed", {"food": slots.foods[0]}, sources)
    if food is not None and "date_mark_exempt" in food.notes and not slots.has("as_homemade"):
        return Answer("exempt", {"food": capital(slots.foods[0])}, sources)
    values["raw"] = ""
    if food is not None and food.raw_animal and food.known:
        if slots.food_question(0) is None or slots.has("as_raw"):
            return Answer("raw", {"food": slots.foods[0].removeprefix("raw ")}, sources)
        values["raw"] = " Raw: go by the maker's date."
    told = _days_told(request)
    if told is not None:
        over = told > days.value
        return Answer("days_no" if over else "days_ok", values, sources, Verdict.FAIL if over else None)
    made = day_said(slots, request.now)
    if made is None and slots.has("other_day", "day_last_week"):
        return Answer("which_day", values, sources)
    return _made_on(request, made or request.now.date(), values, sources)


def _made_on(request: Request, made: date, values: dict[str, str], sources: tuple[Citation, ...]) -> Answer:
    """Return the last day of food made or opened on a day, or that it is over."""
    last = date_marking.last_day(made, request.profile)
    values = {**values, "date": shown_date(last)}
    if last < request.now.date():
        return Answer("over", values, sources, Verdict.FAIL, caution="doubt")
    return Answer("use_by", values, sources)


@answers("date_frozen")
def frozen(request: Request) -> Answer:
    """Say how many days are left after freezing; the day of thawing counts."""
    _, values, limits = _facts(request)
    sources = tuple(limit.citation for limit in limits)
    used = _day_number(request) or _days_told(request)
    if used is None:
        return Answer("pauses", sources=sources)
    left = date_marking.days_left_after_freezing(used, request.profile)
    if left == 0:
        return Answer("none", values, sources, Verdict.FAIL)
    thawed = day_said(request.slots, request.now) or request.now.date()
    last = date_marking.last_day_after_freezing(used, thawed, request.profile)
    return Answer("left", {"left": left, "date": shown_date(last)}, sources)


@answers("date_day")
def day(request: Request) -> Answer:
    """Judge a day number; food without one is thrown out."""
    _, values, _ = _facts(request)
    told = _days_told(request)
    # "Seven days ago" and "seven days old": the day made was day 1, so this is day 8.
    number = _day_number(request) or (None if told is None else told + 1)
    if number is None:
        judged = date_marking.judge_day(None, request.profile)
        return Answer("no_mark", values, judged.citations, judged.verdict)
    guests = request.site.kitchen.highly_susceptible_guests
    judged = date_marking.judge_day(number, request.profile, susceptible_guests=guests)
    values["day"] = str(number)
    if judged.passed:
        return Answer("in_time", values, judged.citations, judged.verdict)
    rescue = date_marking.judge_day(number, request.profile, reheat_to_165=True, susceptible_guests=guests)
    return Answer("reheat" if rescue.passed else "over", values, judged.citations, Verdict.FAIL)


@answers("date_count")
def count(request: Request) -> Answer:
    """Say that the day made or opened is day 1."""
    _, values, limits = _facts(request)
    return Answer("answer", values, tuple(limit.citation for limit in limits))


@answers("date_oldest")
def oldest(request: Request) -> Answer:
    """Say that the oldest ingredient sets the date, and that a new label changes nothing."""
    days = date_marking.days_allowed(request.profile)
    made = day_said(request.slots, request.now)
    if made is None or made == request.now.date():
        return Answer("oldest", sources=(days.citation,))
    last = date_marking.last_day(made, request.profile)
    return Answer("oldest_day", {"made": shown_date(made), "date": shown_date(last)}, (days.citation,))
