"""Answers about date marks: the last day, freezing, day numbers, mixes."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers, capital
from assistant.dialogue.answers.advice import always, told
from assistant.dialogue.answers.food_words import controlled_once, food_of, made_here
from assistant.dialogue.answers.places import kinds_said
from assistant.dialogue.moments import day_number, day_said, shown_date
from assistant.dialogue.slots import WEEKDAYS
from assistant.rules import date_marking
from assistant.rules.basis import Verdict
from intents.lexicon import load_lexicon

FIGURES = {"days": "date_mark_days_max", "hold": "date_mark_hold_max"}


def _day_number(request: Request) -> int | None:
    """Return the day of seven that was told; no number of months, and no date of the month ("the five")."""
    found, words = request.slots.measure("number"), request.slots.words
    lexicon = load_lexicon(request.slots.language)
    if found is not None and set(words[found.end : found.end + 1]) & lexicon.list("months_word"):
        return None
    if found is not None and found.start and words[found.start - 1] in lexicon.list("date_article"):
        return None
    return int(found.value) if found and found.value == int(found.value) and 0 < found.value < 100 else None


_DAYS = {"day": 1, "week": 7}


def _days_told(request: Request) -> int | None:
    """Return the days of "eight days", "two weeks"; ``None`` where none were said."""
    said = request.slots.measure("duration")
    return int(said.value * _DAYS[said.unit]) if said is not None and said.unit in _DAYS else None


@answers("date_mark")
def mark(request: Request) -> Answer:
    """Say the last day of use of food made, opened or cooked on a day (today if none is said)."""
    slots = request.slots
    days = slots.heard is not None and any(s.value.startswith("day_") for s in slots.heard.concepts)
    if kinds_said(request) == {"hot"} and not days:
        return told(request, "held")
    food = made_here(request, food_of(request, cooked=True))
    name = slots.foods[0] if slots.foods else ""
    raw_egg = _of_raw_egg(request)
    if not raw_egg and (once := controlled_once(food)):
        return told(request, "cut", limits=FIGURES, food=name, once=once)
    sources = tuple(request.profile.limit(key).citation for key in FIGURES.values())
    if food is not None and food.known and not food.tcs and not raw_egg:
        return told(request, "not_needed", *sources, food=name)
    if food is not None and "date_mark_exempt" in food.notes and not slots.has("as_homemade") and not raw_egg:
        return told(request, "exempt", *sources, food=capital(name))
    of_raw = ""
    if raw_egg:
        of_raw = "_at_risk" if request.site.kitchen.highly_susceptible_guests else "_raw_egg"
    if food is not None and food.raw_animal and food.known and not of_raw:
        if slots.food_question(0) is None or slots.has("as_raw"):
            return told(request, "raw", *sources, food=name.removeprefix("raw "))
        of_raw = "_raw"
    days_told = _days_told(request)
    if days_told is not None:
        over = days_told > date_marking.days_allowed(request.profile).value
        verdict = Verdict.FAIL if over else None
        return told(request, "days_no" if over else f"days_ok{of_raw}", limits=FIGURES, verdict=verdict)
    made = day_said(slots, request.now)
    if made is None and slots.has("other_day", "day_last_week", *WEEKDAYS):
        return told(request, "which_day", limits=FIGURES)
    last = date_marking.last_day(made or request.now.date(), request.profile)
    if last < request.now.date():
        return told(request, "over", *sources, verdict=Verdict.FAIL, caution="doubt", date=shown_date(last))
    return told(request, f"use_by{of_raw}", limits=FIGURES, date=shown_date(last))


def _of_raw_egg(request: Request) -> bool:
    """True for what is eaten as it is and may hold raw egg (Food Code 3-302.13, 3-603.11, 3-801.11)."""
    slots = request.slots
    foods = [slots.food(index) for index in range(len(slots.foods))]
    eggs = [food for food in foods if food is not None and food.species == "egg" and food.raw_animal]
    if len(eggs) < len(foods) and eggs and slots.has("as_raw"):
        return True  # "mayo made with raw yolks"
    return any(
        food is not None and not food.raw_animal and "pasteurized_egg_only" in food.notes for food in foods
    )


@answers("date_frozen")
def frozen(request: Request) -> Answer:
    """Say how many days are left after freezing; the day of thawing counts."""
    sources = tuple(request.profile.limit(key).citation for key in FIGURES.values())
    used = _day_number(request) or _days_told(request)
    if used is None:
        return told(request, "pauses", *sources)
    left = date_marking.days_left_after_freezing(used, request.profile)
    if left == 0:
        return told(request, "none", limits=FIGURES, verdict=Verdict.FAIL)
    thawed = day_said(request.slots, request.now)
    if thawed is None and request.slots.has("other_day", "day_last_week"):
        return told(request, "pauses", *sources)
    thawed = thawed or request.now.date()
    last = date_marking.last_day_after_freezing(used, thawed, request.profile)
    return told(request, "left", *sources, left=left, date=shown_date(last))


@answers("date_day")
def day(request: Request) -> Answer:
    """Judge a day number; food without one is thrown out."""
    days = _days_told(request)
    # "Seven days ago" and "seven days old": the day made was day 1, so this is day 8.
    number = None if days is None else days + 1
    if not request.slots.has("other_day"):  # "two Sundays ago" is no day two
        number = _day_number(request) or number
    if not {*request.slots.words} & load_lexicon(request.slots.language).list("negation"):  # "it has no date"
        number = number or day_number(request.slots, request.now)
    if number is None:
        judged = date_marking.judge_day(None, request.profile)
        return told(request, "no_mark", *judged.citations, limits=FIGURES, verdict=judged.verdict)
    guests = request.site.kitchen.highly_susceptible_guests
    judged = date_marking.judge_day(number, request.profile, susceptible_guests=guests)
    rescue = date_marking.judge_day(number, request.profile, reheat_to_165=True, susceptible_guests=guests)
    reply = "in_time" if judged.passed else "reheat" if rescue.passed else "over"
    return told(request, reply, *judged.citations, limits=FIGURES, verdict=judged.verdict, day=number)


always("date_count", **FIGURES)


@answers("date_oldest")
def oldest(request: Request) -> Answer:
    """Say that the oldest ingredient sets the date, and that a new label changes nothing."""
    days = date_marking.days_allowed(request.profile)
    made = day_said(request.slots, request.now)
    if made is None or made == request.now.date():
        return Answer("oldest", sources=(days.citation,))
    last = date_marking.last_day(made, request.profile)
    return Answer("oldest_day", {"made": shown_date(made), "date": shown_date(last)}, (days.citation,))
