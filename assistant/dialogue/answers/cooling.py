"""Answers about cooling: the rule, ways to do it, and a reading of food that is cooling."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, Value, answers, capital, limit_text, plain
from assistant.dialogue.answers.advice import always, shown, told
from assistant.dialogue.clocks import made_cold, running_clock
from assistant.dialogue.cooling_batch import begin_with, judge_batch
from assistant.dialogue.cooling_series import judge_series, of_others, of_pieces, one_at_a_time, series_said
from assistant.dialogue.judged_later import in_its_stead
from assistant.dialogue.moments import hours_of, past_moment, shown_time
from assistant.logbook.entry import Draft, Limits
from assistant.rules.basis import Citation, Judgement, Temperature, Verdict
from assistant.rules.compare import colder_than, warmer_than
from assistant.rules.cooling import CoolingLimits, judge_cooling
from assistant.rules.cooling_curve import CoolingReading, hours_between
from assistant.rules.cooling_other import judge_ambient_cooling
from intents.lexicon import load_lexicon
from intents.mentions import Measure
from intents.not_measured import by_how_much
from intents.readings import LEAST_BARE

COOLING = Citation("FDA Food Code 2022", "3-501.14; 3-501.15", flag="READ", note="cooling, and its methods")
_HOTTEST_FOOD = 130
"""Celsius; a pot reads no more than this. Above, a number was misheard: judgement."""
START_NOT_SAID = "start of cooling not said"
START = "duration|clock|unknown_time"
"""What answers since when food has been cooling."""
_BEGUN = ("cooling_is", "came_off", "ice_bath")
"""Right before a time these tell when it began."""


@answers("cooling_rule")
def rule(request: Request) -> Answer:
    """Say the two stages; food made cold has one."""
    foods = request.slots.foods
    ambient = foods and made_cold(foods[0]) and not request.slots.has("as_hot")
    limits = {"hours": "cooling_ambient_hours_max"}
    if ambient and request.slots.has("made_chilled"):
        return told(request, "chilled", limits=limits)
    began = [past_moment(clock, request.now) for clock in request.slots.clocks[:1]] if not ambient else []
    total = request.profile.limit("cooling_total_hours_max").value
    start = request.profile.limit("cooling_start").value
    other = any(m.value != start for m in request.slots.all_measures("temperature", "number"))
    if began and not other and hours_between(began[0], request.now) <= total:
        return _due(request, began[0])
    return told(request, "ambient" if ambient else "rule", limits=limits)


def _due(request: Request, began: datetime) -> Answer:
    """Say by when each stage has to be done of food that began to cool at a time told."""
    limits = CoolingLimits.of(request.profile)
    stages = ("first", request.profile.limit("cooling_stage_one_hours_max")), ("last", limits.total)
    at = {name: shown_time(began + timedelta(hours=float(hours.value))) for name, hours in stages}
    return told(request, "timed", limits.total.citation, values=dict[str, Value](at))


always("cooling_missed")
always("cooling_ice", COOLING)
always("cooling_way", COOLING)
always("cooling_vegetables", COOLING)


@answers("cooling_check")
def check(request: Request) -> Answer:
    """Judge and log one reading of food that is cooling: of the batch that runs, else by the hours said.

    Food that is still hot and has no clock gets one.
    """
    spent = request.slots.measure("duration")
    temperature = _warmest(request)
    if temperature is None and request.slots.asked_by_form and request.slots.clocks:
        return _missed(request)
    if temperature is None or by_how_much(request.slots.words, load_lexicon(request.slots.language)):
        return Answer("ask_now", ask="temperature|number")  # "lost ten degrees" tells no temperature
    if request.slots.foods and of_others(request.slots):
        return one_at_a_time(request)
    if temperature.in_unit("C") > _HOTTEST_FOOD:
        return told(request, "odd", value=shown(temperature))
    bare = request.slots.measure("temperature") is None and request.site.kitchen.units == "F"
    if bare and 0 <= temperature.value < LEAST_BARE:
        return Answer("ask_now", ask="temperature|number")  # "for two" tells of guests, no degrees
    if not request.slots.foods:
        return _unnamed(request, temperature, spent)
    limits = CoolingLimits.of(request.profile)
    food = request.slots.foods[0]
    if series := series_said(request):
        return judge_series(request, series)
    clock = running_clock(request.views, request.now, "cooling", food)
    if clock is not None:
        return judge_batch(request, clock, temperature)
    still_hot = not colder_than(temperature, limits.start)
    if still_hot and not request.slots.asked and not request.slots.measure("duration"):
        return begin_with(request, temperature)
    values: dict[str, Value] = {"food": capital(food), "value": shown(temperature)}
    hours = _hours_cooling(request)
    if still_hot and hours is None:
        return told(request, "not_started", limits.start.citation, values=values)
    if hours is None:
        return _without_start(request, temperature, limits, values)
    if made_cold(food):
        return _made_cold(request, temperature, hours, values)
    judged = _judged(request, hours, temperature)
    values |= {"hours": plain(round(hours, 2)), **_coming(judged, limits)}
    sources = judged.citations
    if still_hot:
        return told(request, "not_started", *sources, values=values)
    draft = _draft(request, temperature, judged.verdict, limits, f"{values['hours']} h after 135°F")
    draft = in_its_stead(request, draft)
    if judged.verdict is not Verdict.FAIL and judged.reason in ("cooled", "cooling"):
        cooled = judged.reason == "cooled"
        verdict = Verdict.PASS if cooled else None
        return told(
            request, "done" if cooled else "pass", *sources, verdict=verdict, drafts=(draft,), values=values
        )
    first = judged.reason == "stage_one_too_long" or values["next"] == limit_text(limits.middle)
    reply = "discard"
    if first and hours <= limits.total.value:
        reply = "reheat" if judged.action == "reheat_or_discard" else "late_first"
    return _failed(request, reply, draft, *sources, values=values)


def _warmest(request: Request) -> Temperature | None:
    """Return the temperature told, of several pieces that of the warmest: all of the food is judged by it."""
    slots = request.slots
    if of_pieces(slots):
        slots = replace(slots, measures=(max(slots.all_measures("temperature", "number"), key=_value),))
    return slots.temperature(request.site.kitchen.units)


def _value(measure: Measure) -> Decimal:
    return measure.value


def _judged(request: Request, hours: Decimal, temperature: Temperature) -> Judgement:
    """Judge a reading so many hours after the food was at the temperature where the clock starts."""
    start = CoolingLimits.of(request.profile).start.temperature
    series = [CoolingReading(Decimal(0), start), CoolingReading(hours, temperature)]
    return judge_cooling(series, request.profile)


def _coming(judged: Judgement, limits: CoolingLimits) -> dict[str, Value]:
    """Return the temperature due next and the time left for it."""
    to_middle = judged.details.get("next_temperature") == limits.middle.value
    minutes = judged.details.get("minutes_left")
    left = "0 min"
    if isinstance(minutes, Decimal):
        left = f"{plain(minutes)} min" if minutes < 120 else f"{plain(round(minutes / 60, 1))} h"
    return {"next": limit_text(limits.middle if to_middle else limits.end), "left": left}


def _failed(
    request: Request, reply: str, draft: Draft, *sources: Citation, values: dict[str, Value]
) -> Answer:
    """Return the answer to food that failed: its entry, and what has to be done."""
    note = "reheat or discard" if reply == "reheat" else "discard"
    food = request.slots.foods[0]
    action = Draft(kind="action_opened", subject=food, measured="cooling", refers_to=-1, note=note)
    drafts = (draft.model_copy(update={"verdict": "fail"}), action)
    limits = {"ambient": "cooling_ambient_hours_max"}
    return told(request, reply, *sources, limits=limits, verdict=Verdict.FAIL, drafts=drafts, values=values)


def _hours_cooling(request: Request) -> Decimal | None:
    """Return the hours since it was hot: told, or since a time told when the start was asked for."""
    said = request.slots.measure("duration")
    if said is not None:
        return hours_of(said)
    start = _start_said(request)
    if not start or request.slots.has("unknown_time"):
        return None
    between = hours_between(past_moment(start, request.now), request.now)
    return Decimal(between.numerator) / Decimal(between.denominator)


def _start_said(request: Request) -> str:
    """Return the time said alone when the start was asked for, or after "from", "since", "started at"."""
    heard = request.slots.heard
    if heard is None:
        return ""
    if not heard.names.get("food") and len(request.slots.clocks) == 1:
        return request.slots.clocks[0]
    opens = load_lexicon(heard.language).list("cooling_from")
    told = {i for s in heard.concepts if s.value in _BEGUN for i in range(s.end, s.end + 2)}
    begun = (c for c in heard.clocks if c.start in told or opens & set(heard.words[c.start - 2 : c.start]))
    return next((clock.value for clock in begun), "")


def _told_as_now(request: Request) -> bool:
    """True for "it's eight thirty and ...": the present is told, and that it is late."""
    heard = request.slots.heard
    present = load_lexicon(request.slots.language).list("present_is")
    return heard is not None and any(present & set(heard.words[c.start - 1 : c.start]) for c in heard.clocks)


def _made_cold(request: Request, t: Temperature, hours: Decimal, values: dict[str, Value]) -> Answer:
    """Judge food made cold or at room temperature, which has the one shorter limit."""
    judged, limits = judge_ambient_cooling(t, hours, request.profile), CoolingLimits.of(request.profile)
    values |= {"hours": plain(round(hours, 2)), **_coming(judged, limits)}
    draft = _draft(request, t, judged.verdict, limits, f"{values['hours']} h after made")
    draft = in_its_stead(request, draft)
    if judged.verdict is Verdict.FAIL:
        return _failed(request, "ambient_late", draft, *judged.citations, values=values)
    verdict = Verdict.PASS if judged.passed else None
    reply = "done" if judged.passed else "pass"
    return told(request, reply, *judged.citations, verdict=verdict, drafts=(draft,), values=values)


def _missed(request: Request) -> Answer:
    """Say of a reading that is only supposed what both missed limits ask for."""
    return replace(told(replace(request, intent="cooling_missed")), intent="cooling_missed")


def _unnamed(request: Request, temperature: Temperature, spent: Measure | None) -> Answer:
    """Judge cooling food whose name was not said, without an entry: there is nothing to log it under."""
    if spent is None and request.slots.asked_by_form:
        return _missed(request)
    if spent is None:
        return Answer("ask_start", ask="duration")
    judged = _judged(request, hours_of(spent), temperature)
    values = _coming(judged, CoolingLimits.of(request.profile))
    replies = {"cooling": "unnamed_ok", "cooled": "unnamed_done", "not_started": "unnamed_hot"}
    reply, verdict = replies.get(judged.reason, "unnamed_gap"), None
    if judged.verdict is Verdict.FAIL:
        reply = "unnamed_reheat" if judged.action == "reheat_or_discard" else "unnamed_discard"
        verdict = Verdict.FAIL
    return told(request, reply, *judged.citations, verdict=verdict, values=values)


def _without_start(
    request: Request, temperature: Temperature, limits: CoolingLimits, values: dict[str, Value]
) -> Answer:
    """Ask when the cooling began, which alone tells if the number is good; nobody knows: throw it out."""
    sources = (limits.total.citation,)
    cold = not warmer_than(temperature, limits.end)
    draft = _draft(request, temperature, Verdict.CANNOT_JUDGE, limits, START_NOT_SAID)
    if cold:
        return told(request, "no_start_cold", *sources, drafts=(draft,), values=values)
    if request.slots.has("unknown_time"):
        return _failed(request, "start_unknown", in_its_stead(request, draft), *sources, values=values)
    if _told_as_now(request):
        return _failed(request, "no_start", draft, *sources, values=values)
    limits_of = {"ambient": "cooling_ambient_hours_max"}
    reply = "start_asked_ambient" if made_cold(request.slots.foods[0]) else "start_asked"
    return told(request, reply, *sources, limits=limits_of, drafts=(draft,), ask=START, values=values)


def _draft(request: Request, t: Temperature, verdict: Verdict, limits: CoolingLimits, note: str) -> Draft:
    food = request.slots.foods[0]
    return Draft(
        kind="reading",
        subject=food,
        item=food,
        measured="cooling",
        value=plain(t.value),
        unit=t.unit,
        verdict=verdict.value,
        limits=Limits(high=plain(limits.end.value), unit=limits.end.unit),
        rule=f"{limits.total.citation.document}, {limits.total.citation.section}",
        profile=request.site.kitchen.profile,
        note=note,
    )
