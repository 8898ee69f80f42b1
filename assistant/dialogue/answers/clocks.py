"""Answers about running clocks: begun, ended, due; and the count of hand washes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, Value, answers, capital, limit_text, plain
from assistant.dialogue.clocks import (
    STARTED,
    STOPPED,
    ClockKind,
    RunningClock,
    clock_draft,
    made_cold,
    running_clock,
)
from assistant.dialogue.due import ambient_limit, end_of
from assistant.dialogue.moments import hours_of, past_moment, shown_time
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.rules.basis import Citation, Verdict
from assistant.rules.cooling import CoolingLimits
from assistant.rules.thawing import THAWING, water_minutes_left
from intents.quantities import Clock, quantities, resolve

_FROM_NOW = "from_now"
"""Said of a span of time that begins now ("four hours starting now")."""
_ENDS = ("for", "until", "till", "by")
"""Markers of the time by which food has to be used."""
ASKED = 0.7
"""From this share of asking acts on nothing is started."""
NOW = timedelta(minutes=1)
"""A start nearer than this is now."""


def started_at(request: Request) -> datetime:
    """Return the start that was said ("at two", "an hour ago"), or now."""
    if request.slots.clocks:
        return past_moment(request.slots.clocks[0], request.now)
    said = None if request.slots.has(_FROM_NOW) else request.slots.measure("duration")
    return request.now - timedelta(hours=float(hours_of(said))) if said else request.now


def spell(hours: Decimal) -> str:
    """Return a span of time as shown ("40 min", "3.5 h")."""
    minutes = int(hours * 60)
    return f"{minutes} min" if minutes < 120 else f"{plain(round(hours, 1))} h"


def asks_only(request: Request) -> bool:
    """True for a question, which starts nothing: it says when the clock would end."""
    meaning = request.slots.meaning
    return meaning is not None and meaning.share_of("ask", "leave") > ASKED


def begin(
    request: Request, kind: ClockKind, subject: str, values: Mapping[str, Value], more: tuple[Draft, ...] = ()
) -> Answer:
    """Start a clock, unless only asked about; where one runs for the food, ask if the new replaces it."""
    at = started_at(request)
    shown: dict[str, Value] = {"food": capital(subject), "time": shown_time(at), **values}
    if asks_only(request):
        return Answer("asked", shown)
    old = running_clock(request.views, request.now, kind, subject)
    if old is not None and request.slots.has("no"):
        return Answer("kept", shown)
    if old is not None and kind == "thawing" and old.start - at > NOW:
        return Answer("started", shown, drafts=(_begun_earlier(old, at), *more))
    if old is not None and not request.slots.has("yes"):
        return Answer("already", {**shown, "time": shown_time(old.start)}, ask="yes_no")
    ended = (clock_draft(kind, old.subject, f"{STOPPED}: new batch"),) if old else ()
    said = at if request.now - at > NOW else None
    draft = clock_draft(kind, subject, STARTED, said)
    return Answer("started", shown, drafts=(*ended, draft, *more))


def _begun_earlier(clock: RunningClock, at: datetime) -> Draft:
    """Return the correction of a clock's start: food that was in before is no new batch in its place."""
    return Draft(
        kind="correction",
        subject=clock.subject,
        item=clock.item,
        measured=clock.kind,
        said_at=at.isoformat(timespec="seconds"),
        refers_to=clock.entry_id,
    )


@answers("clock_cooling")
def cooling(request: Request) -> Answer:
    """Start a cooling batch and say both limits with their times."""
    limits, food, at = CoolingLimits.of(request.profile), request.slots.foods[0], started_at(request)
    last = at + timedelta(hours=float(limits.total.value))
    values: dict[str, Value] = {
        "middle": limit_text(limits.middle),
        "end": limit_text(limits.end),
        "first": shown_time(at + timedelta(hours=float(limits.stage_one.value))),
        "last": shown_time(last),
        "total": plain(limits.total.value),
    }
    answer = begin(request, "cooling", food, values)
    answer = replace(answer, sources=(limits.stage_one.citation, limits.total.citation))
    if answer.reply == "started" and made_cold(food):
        limit, by = ambient_limit(RunningClock("cooling", food, at, 0), request.profile)
        values = {**answer.values, "last": shown_time(by), "end": limit_text(limit)}
        return replace(answer, reply="ambient", values=values, sources=(limit.citation,))
    if answer.reply == "started" and last < request.now:
        return replace(answer, reply="over", verdict=Verdict.FAIL)
    return answer


@answers("clock_thawing")
def thawing(request: Request) -> Answer:
    """Start the clock of food under running water."""
    profile = request.profile
    left = water_minutes_left(profile, Decimal(0))
    by = started_at(request) + timedelta(minutes=float(left))
    values: dict[str, Value] = {
        "by": shown_time(by),
        "hours": plain(left / 60),
        "water": limit_text(profile.limit("thaw_water_max")),
    }
    answer = begin(request, "thawing", request.slots.foods[0], values)
    over = answer.reply == "started" and by < request.now
    sources = (THAWING, profile.limit("thaw_water_minutes_max").citation)
    return _perhaps_over(replace(answer, sources=sources), over)


@answers("clock_time")
def held_by_time(request: Request) -> Answer:
    """Start the clock of food held by time alone."""
    food = request.slots.foods[0]
    if (start := _told_by_its_end(request, food)) is not None:
        request = replace(request, slots=replace(request.slots, clocks=(start.strftime("%H:%M"),)))
    at = started_at(request)
    by = end_of(RunningClock("time", food, at, 0), request.profile)
    hours = Decimal((by - at) // timedelta(minutes=1)) / 60
    answer = begin(request, "time", food, {"by": shown_time(by), "hours": plain(hours)})
    over = answer.reply == "started" and by < request.now
    limit = request.profile.limit("time_control_hours_max")
    return _perhaps_over(replace(answer, sources=(limit.citation,)), over)


def _told_by_its_end(request: Request, food: str) -> datetime | None:
    """Return the start of "mark them for eleven fifteen": its hours before, where that is no time to come."""
    slots, now = request.slots, request.now
    for quantity in quantities(slots.words, slots.language):
        for meaning in quantity.meanings:
            if quantity.marker in _ENDS and isinstance(meaning, Clock):
                coming = resolve(meaning, now, "future").best
                full = end_of(RunningClock("time", food, now, 0), request.profile) - now
                if coming is not None and now <= coming.at <= now + full:
                    return coming.at - full
    return None


def _perhaps_over(answer: Answer, over: bool) -> Answer:
    """Turn the start of a clock that is over already into what to do now, kept open until it is done."""
    if not over:
        return answer
    subject = answer.drafts[-1].subject
    action = Draft(kind="action_opened", subject=subject, item=subject, note="discard")
    return replace(answer, reply="over", verdict=Verdict.FAIL, drafts=(*answer.drafts, action))


@answers("clock_bucket")
def fresh_bucket(request: Request) -> Answer:
    """Start the age of a bucket; the old solution's clock ends with it."""
    places = request.slots.places
    place = next((each for each in places if each[-1:].isdigit()), places[0])
    limit = request.profile.limit("solution_age_hours_max")
    if request.site.kind_of(place) != "sanitizer_bucket":
        return Answer("not_bucket")
    old = running_clock(request.views, request.now, "sanitizer", place)
    ended = (clock_draft("sanitizer", place, f"{STOPPED}: changed"),) if old else ()
    values: dict[str, Value] = {
        "place": capital(request.site.spoken_name(place)),
        "time": shown_time(request.now),
        "hours": plain(limit.value),
    }
    drafts = (*ended, clock_draft("sanitizer", place, STARTED))
    return Answer("started", values, (limit.citation,), drafts=drafts)


@answers("clock_end")
def end(request: Request) -> Answer:
    """End the clock of a food, and judge the time it ran. Cooling ends by a reading only."""
    food = request.slots.foods[0]
    kinds: tuple[ClockKind, ...] = ("thawing", "time", "cooling")
    found = (running_clock(request.views, request.now, kind, food) for kind in kinds)
    clock = next((clock for clock in found if clock), None)
    values: dict[str, Value] = {"food": capital(food)}
    if clock is None:
        return Answer("none", values)
    if clock.kind == "cooling":
        return Answer("cooling", values, ask="temperature", intent="clock_end")
    return _ended(request, clock, values)


def _ended(request: Request, clock: RunningClock, values: dict[str, Value]) -> Answer:
    hours = clock.hours(request.now)
    over = end_of(clock, request.profile) < request.now
    values["hours"] = spell(hours)
    sources: tuple[Citation, ...] = (request.profile.limit("time_control_hours_max").citation,)
    if clock.kind == "thawing":
        minutes = hours * 60
        water = request.profile.limit("thaw_water_max")
        values["left"] = spell(water_minutes_left(request.profile, minutes) / 60)
        sources = (THAWING, water.citation)
    note = f"{STOPPED}: {values['hours']}" + (", over the limit" if over else "")
    drafts: tuple[Draft, ...] = (clock_draft(clock.kind, clock.subject, note),)
    if over:
        drafts += (Draft(kind="action_opened", subject=clock.subject, item=clock.subject, note="discard"),)
    verdict = Verdict.FAIL if over else None
    return Answer(f"{clock.kind}_over" if over else clock.kind, values, sources, verdict, drafts)


@answers("hand_washed")
def washed(request: Request) -> Answer:
    """Count a hand wash for whoever is signed in."""
    draft = Draft(kind="event", subject="hands", note="washed")
    values: dict[str, Value] = {"count": _washes(request, request.person) + 1, "name": request.person}
    return Answer("counted_for" if request.person else "counted", values, drafts=(draft,))


@answers("hand_wash_count")
def wash_count(request: Request) -> Answer:
    """Tell how many hand washes were said today."""
    person = request.slots.people[0] if request.slots.people else request.person
    count = _washes(request, person)
    values: dict[str, Value] = {"count": count, "name": f", {person}" if person else ""}
    return Answer("count" if count else "none", values)


def _washes(request: Request, person: str) -> int:
    today = replace(Filter.on(request.now.date()), kinds=("event",), subject="hands", person=person)
    return request.views.count(replace(today, standing_only=True))
