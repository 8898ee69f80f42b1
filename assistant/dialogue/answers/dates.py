"""Answers about date marks: the last day, freezing, day numbers, mixes."""

from __future__ import annotations

from datetime import date, timedelta

from assistant.dialogue.answer import Answer, Request, answers, degrees, plain
from assistant.dialogue.answers.food_words import capital, controlled_once, made_here
from assistant.dialogue.answers.time_control import out_of_control
from assistant.dialogue.moments import day_said, shown_date
from assistant.rules import date_marking
from assistant.rules.basis import Citation, Limit, Verdict


def _facts(request: Request) -> tuple[Limit, dict[str, str], tuple[Limit, ...]]:
    days, hold = date_marking.days_allowed(request.profile), request.profile.limit("date_mark_hold_max")
    return days, {"days": plain(days.value), "hold": degrees(hold.value, hold.unit)}, (days, hold)


def _day_number(request: Request) -> int | None:
    found = request.slots.measure("number")
    return int(found.value) if found and found.value == int(found.value) and 0 < found.value < 100 else None


def _said_as_day(request: Request) -> bool:
    """True when the number follows the word "day" at once ("day eight", not "all day six wings")."""
    found = request.slots.measure("number")
    return found is not None and any(
        at == found.start - 1 for at, concept in request.slots.concept_order if concept == "day_number_word"
    )


_KEPT_HERE = ("opened_word", "made", "days_old", "been_there")
"""What is said of food with a date of its own here: a ham that was opened may be ready to eat."""


@answers("date_mark")
def mark(request: Request) -> Answer | None:
    """Say the last day of use of food made, opened or cooked on a day (today if none is said)."""
    if out_of_control(request.slots):
        return None
    if request.slots.has("hot_place") or "hot_holding" in map(request.site.kind_of, request.slots.places):
        hot = request.profile.limit("hot_holding_min")
        return Answer("held", {"hot": degrees(hot.value, hot.unit)}, (hot.citation,))
    _, values, limits = _facts(request)
    sources = tuple(limit.citation for limit in limits)
    food = made_here(request, request.slots.food(0))
    if once := controlled_once(food):
        return Answer("cut", {**values, "food": request.slots.foods[0], "once": once}, sources)
    if food is not None and food.known and not food.tcs:
        return Answer("not_needed", {"food": request.slots.foods[0]}, sources)
    if food is not None and "date_mark_exempt" in food.notes and not request.slots.has("house_word"):
        return Answer("exempt", {"food": capital(request.slots.foods[0])}, sources)
    surely_raw = food is not None and food.raw_animal and food.known
    if surely_raw and request.slots.food_question(0) is not None and request.slots.has(*_KEPT_HERE):
        surely_raw = False
    if surely_raw:
        return Answer("raw", {"food": request.slots.foods[0].removeprefix("raw ")}, sources)
    asked = request.slots.measure("duration")
    past = bool({"ago", "old", "been"} & set(request.slots.words))
    if asked is not None and asked.unit in ("day", "week") and past:
        days_ago = int(asked.value) * (7 if asked.unit == "week" else 1)
        return _made_on(request, request.now.date() - timedelta(days=days_ago), values, sources)
    if asked is not None and asked.unit in ("day", "week"):
        enough = asked.value * (7 if asked.unit == "week" else 1) <= int(values["days"])
        return Answer("days_ok" if enough else "days_no", values, sources)
    if asked is not None:
        return None
    made = day_said(request.slots, request.now)
    if made is None and request.slots.has("other_day", "day_last_week"):
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
    used = _day_number(request)
    if used is None and request.slots.has("freeze_it") and request.slots.has("can", "should"):
        return Answer("yes", sources=sources)
    if request.slots.has("reset_count", "dated_frozen") and not request.slots.has("pulled"):
        return Answer("pauses", sources=sources)
    if used is None and request.slots.has("stop_word") and not request.slots.has("pulled"):
        return Answer("pauses", sources=sources)
    if used is None:
        held = request.slots.measure("duration")
        used = int(held.value) if held and held.unit == "day" else None
    if used is None:
        return Answer("ask_day", ask="number")
    left = date_marking.days_left_after_freezing(used, request.profile)
    if left == 0:
        return Answer("none", values, sources, Verdict.FAIL)
    thawed = day_said(request.slots, request.now) or request.now.date()
    last = date_marking.last_day_after_freezing(used, thawed, request.profile)
    return Answer("left", {"left": left, "date": shown_date(last)}, sources)


@answers("date_day")
def day(request: Request) -> Answer | None:
    """Judge a day number, or food without a date."""
    _, values, _ = _facts(request)
    if request.slots.has("no_date"):
        judged = date_marking.judge_day(None, request.profile)
        return Answer("no_mark", values, judged.citations, judged.verdict)
    number = _day_number(request)
    if number is None or not _said_as_day(request):
        return None
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
    """Say that the oldest ingredient sets the date."""
    days = date_marking.days_allowed(request.profile)
    made = day_said(request.slots, request.now)
    if request.slots.has("relabel"):
        return Answer("relabel", sources=(days.citation,))
    if request.slots.has("top_off_food") and request.slots.has("can", "should"):
        batter = {"batter", "breading", "dredge"} & set(request.slots.words)
        return Answer("batter" if batter else "fresh", sources=(days.citation,))
    if made is None or made == request.now.date():
        return Answer("oldest", sources=(days.citation,))
    last = date_marking.last_day(made, request.profile)
    return Answer("oldest_day", {"made": shown_date(made), "date": shown_date(last)}, (days.citation,))
