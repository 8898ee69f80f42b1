"""Several readings of one cooling food told in one breath: "soup was 135 at noon, now it's 80".

Only the present reading is logged, because nothing is dated back; what was told of earlier ones goes into
its note. A series that is not clear is asked for again, never guessed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction
from itertools import pairwise

from assistant.dialogue.answer import Answer, Request, capital, degrees
from assistant.dialogue.clocks import STARTED, RunningClock, clock_draft, of_new_clock, running_clock
from assistant.dialogue.cooling_batch import CHECK, NEAR_NOW, judge_batch
from assistant.dialogue.moments import hours_of, past_moment, shown_time
from assistant.dialogue.slots import Slots
from assistant.logbook.entry import Draft
from assistant.rules.basis import Temperature, Verdict
from assistant.rules.cooling import CoolingLimits
from assistant.rules.cooling_curve import CoolingReading, below_start, hours_between
from assistant.site import Site
from intents.lexicon import load_lexicon
from intents.mentions import HOTTEST, Measure
from intents.readings import LEAST_BARE
from intents.series import Timed, timed_temperatures

LONGEST, _MINUTE = timedelta(hours=12), timedelta(minutes=1)
"""Readings told over a longer span were misheard, or the time of day was: asked again."""


@dataclass(frozen=True, slots=True)
class Told:
    """One temperature told and when it was."""

    temperature: Temperature
    at: datetime


def series_said(request: Request) -> tuple[Timed, ...]:
    """Return the temperatures of one food with their times; empty unless there are at least two."""
    slots = request.slots
    if slots.heard is None:
        return ()
    said = timed_temperatures(slots.heard, load_lexicon(slots.language))
    return said if len(said) > 1 and not of_pieces(slots) else ()


def no_degrees(site: Site, measure: Measure) -> bool:
    """True for a bare number that no food reads where it is Fahrenheit: "for two" tells of guests."""
    bare = measure.kind == "number" and site.kitchen.units == "F"
    return bare and 0 <= measure.value < LEAST_BARE


def of_others(slots: Slots) -> bool:
    """True where not all of the numbers are the one food's: another has one, or a place named before it."""
    if slots.heard is None:
        return False
    words, numbers, lexicon = slots.words, slots.heard.free_measures, load_lexicon(slots.language)
    opens, own = lexicon.list("prepositions"), False
    for place in slots.heard.names.get("equipment", ()):
        before = [w for w in words[: place.start] if w in opens or w not in lexicon.filler]
        within = {*before[-1:]} & opens  # "in the walk-in, 135 at noon" tells where the food is
        behind = (words[place.end : m.start] for m in numbers if place.end <= m.start)
        own |= not within and any({*between} <= lexicon.list("read_at") for between in behind)
    return bool(numbers) and (len(slots.foods) > 1 or own)


def one_at_a_time(request: Request) -> Answer:
    """Ask for one food's readings alone; nothing is logged."""
    start = CoolingLimits.of(request.profile).start
    values = {"food": capital(request.slots.foods[0]), "start": degrees(start.value, start.unit)}
    return Answer("ask_series", values, intent=CHECK)


def of_pieces(slots: Slots) -> bool:
    """True for several temperatures of one time: "at two hours one tray is seventy four, the other sixty"."""
    told = slots.all_measures("number", "temperature")
    between = slots.words[told[0].end : told[-1].start] if told else ()
    other = load_lexicon(slots.language).list("points_other") & {*between}
    return bool(other) and slots.measure("duration") is not None


def judge_series(request: Request, said: tuple[Timed, ...]) -> Answer:
    """Judge the readings told by the two stages and log the present one; ask when they are not clear."""
    told, food = told_in_order(request, said), request.slots.foods[0]
    limits = CoolingLimits.of(request.profile)
    start = degrees(limits.start.value, limits.start.unit)
    values = {"food": capital(food), "start": start}
    if told is None:
        return one_at_a_time(request)
    hot = [each for each in told if not below_start(each.temperature, limits.start)]
    first, last = (hot or told)[-1 if hot else 0], told[-1]
    late, rises = request.now - last.at > NEAR_NOW, last.temperature.value > told[0].temperature.value
    if (late and (request.slots.asked or last.at.date() != request.now.date())) or rises:
        return Answer("ask_now", values, intent=CHECK)
    running = running_clock(request.views, request.now, "cooling", food)
    now = last.at if late else request.now
    request = replace(request, now=now, slots=replace(request.slots, clocks=()))
    clock = running or RunningClock("cooling", food, first.at, 0)
    earlier = [
        CoolingReading(max(hours_between(clock.start, each.at), Fraction(0)), each.temperature)
        for each in told[:-1]
        if running is not None or each.at >= first.at
    ]
    answer = judge_batch(request, clock, last.temperature, earlier)
    if late and answer.reply.startswith("batch"):
        return Answer("ask_now", values, intent=CHECK)  # what is due goes by what it reads now
    if running is None and not hot and answer.verdict is not Verdict.FAIL:
        answer = replace(_unsure(answer), values={**answer.values, "start": start})
    drafts = _drafts(answer, told[:-1], clock if running is None else None)
    if late:
        said_at = {"said_at": last.at.isoformat(timespec="seconds")}
        drafts = tuple(draft.model_copy(update=said_at) for draft in drafts)
    return replace(answer, drafts=drafts)


def _drafts(answer: Answer, earlier: tuple[Told, ...], begun: RunningClock | None) -> tuple[Draft, ...]:
    """Return the answer's entries with what was told, and the clock of a new batch that goes on."""
    told = ", ".join(
        f"{degrees(each.temperature.value, each.temperature.unit)} at {shown_time(each.at)}"
        for each in earlier
    )
    drafts = tuple(
        draft.model_copy(update={"note": f"{draft.note}; told: {told}"}) if draft.kind == "reading" else draft
        for draft in answer.drafts
        if begun is None or draft.kind != "clock"
    )
    if begun is not None and answer.reply.startswith("batch"):
        return (clock_draft("cooling", begun.subject, STARTED, begun.start), *of_new_clock(drafts))
    return drafts


def _unsure(answer: Answer) -> Answer:
    """Say that food first read below the start of the clock has been cooling for longer than was told."""
    drafts = tuple(
        draft.model_copy(update={"verdict": Verdict.CANNOT_JUDGE.value})
        for draft in answer.drafts
        if draft.kind == "reading"
    )
    return replace(answer, reply="series_unsure", verdict=None, drafts=drafts)


def told_in_order(request: Request, said: tuple[Timed, ...]) -> tuple[Told, ...] | None:
    """Return the readings from the first to the last; ``None`` where a time is missing or makes no sense."""
    found: list[Told] = []
    falling = all(one.measure.value > other.measure.value for one, other in pairwise(said))
    for i, each in enumerate(said):
        unit = each.measure.unit or request.site.kitchen.units
        temperature = Temperature(each.measure.value, "C" if unit == "C" else "F")
        until = _latest(said[i:], request.now) if falling else request.now
        found.append(Told(temperature, _moment(each, found, until)))
    if any(told.temperature.in_unit("F") > HOTTEST for told in found):
        return None  # "at ten, sixty eight at noon" heard as 1068
    if any(no_degrees(request.site, each.measure) for each in said):
        return None
    found.sort(key=lambda told: told.at)
    moments = {told.at for told in found}
    spread = found[-1].at - found[0].at
    if len(moments) < len(found) or found[-1].at > request.now or spread > LONGEST:
        return None
    return tuple(found)


def _latest(said: tuple[Timed, ...], now: datetime) -> datetime:
    """Return when the first of readings can have been that were told in the order in which they were read."""
    for each in reversed(said[1:]):
        now = past_moment(each.clock, now) - _MINUTE if each.clock else now
    return now


def _moment(timed: Timed, before: list[Told], now: datetime) -> datetime:
    if timed.clock:
        return past_moment(timed.clock, now)
    if timed.spent is None:
        return now
    spent = timedelta(hours=float(hours_of(timed.spent)))
    return before[0].at + spent if timed.after and before and before[0].at != now else now - spent
