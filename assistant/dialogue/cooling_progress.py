"""How a running cooling batch is doing: what it read last, what is due next, and whether that is likely."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import batches
from assistant.dialogue.answer import Answer, Request, capital, degrees, plain
from assistant.dialogue.clocks import RunningClock, batch_readings
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.cooling_batch import CHECK, after, progress
from assistant.dialogue.hearing import Heard
from assistant.dialogue.moments import shown_time
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.since_when import UNKNOWN, Time, no_hour
from assistant.dialogue.slots import Slots
from assistant.rules.cooling import CoolingLimits
from intents.quantities import Day, Moment

LIST, RULE, MISSED = "due_list", "cooling_rule", "cooling_missed"
COOLING_START = "duration|clock|unknown_time"
"""What answers since when food has been cooling."""


def asked(talk: Conversation, heard: Heard) -> Outcome | None:
    """Answer "is that going to make it" and "by when does it need to be at forty one" of what is cooling.

    ``None`` where nothing cools, or another food, a place, or a number that is no limit is named.
    """
    read, now = heard.interpretation.heard, talk.clock.now()
    every = batches.cooling(talk, now)
    if not every or read.names.get("equipment") or heard.interpretation.readings.options:
        return None
    if not talk.interpreter.lexicon.says(read.words, "asks_progress"):
        return None
    foods = read.names.get("food", ())
    clocks = batches.cooling(talk, now, foods[0].value) if foods else every
    limits = CoolingLimits.of(talk.site.profile)
    wanted = [m for m in read.free_measures if m.kind in ("number", "temperature")]
    said = {value for m in wanted for value in m.options}
    own = {limits.middle: limits.stage_one, limits.end: limits.total}
    unit = talk.site.kitchen.units
    meant = [limit for limit in own if round(limit.temperature.in_unit(unit)) in said]
    if not clocks or (wanted and not meant):
        return None
    clock = _spoken_of(talk, clocks)
    if clock is None:
        return None
    request = talk.request(CHECK, Slots(foods=(clock.subject,)))
    answer = progress(request, clock, batch_readings(talk.log.views, clock, talk.site.profile))
    if meant and answer.reply != "ask_now":
        at = shown_time(after(clock.start, own[meant[-1]].value))
        limit = degrees(meant[-1].value, meant[-1].unit)
        answer = Answer("batch", {**answer.values, "limit": limit, "time": at}, answer.sources, intent=CHECK)
    return Outcome(answer, CHECK, talk.request(RULE, Slots()))  # "and forty one" asks on


def hot(talk: Conversation) -> Outcome | None:
    """Say of a batch that was hot when read last that its limits run from the start; ``None`` without one."""
    clocks = batches.cooling(talk, talk.clock.now())
    clock = clocks[-1] if clocks else None
    readings = batch_readings(talk.log.views, clock, talk.site.profile) if clock is not None else []
    if clock is None or not readings:
        return None
    answer = progress(talk.request(CHECK, Slots(foods=(clock.subject,))), clock, readings)
    return Outcome(answer, CHECK, keep_context=True)


def _spoken_of(talk: Conversation, clocks: tuple[RunningClock, ...]) -> RunningClock | None:
    """Return the only batch, or the one that was read or begun last in this conversation."""
    if len(clocks) == 1:
        return clocks[0]
    ids = {n for line in talk.last_lines for n in (line.entry.id, line.now.refers_to)}
    found = [clock for clock in clocks if clock.entry_id in ids]
    return found[0] if len(found) == 1 else None


def cooled_long(talk: Conversation, request: Request) -> Outcome | None:
    """Ask since when food has cooled that began at no hour told, or say what is due: it did not begin now.

    "Took all night to cool" is over any limit, "cooling since this morning" may be.
    """
    slots, heard, lexicon = request.slots, request.slots.heard, talk.interpreter.lexicon
    spans = slots.measure("duration") is not None
    if heard is None or spans or lexicon.says(slots.words, "begins_now"):
        return None
    days = [
        (quantity.marker, day)
        for quantity in heard.quantities
        for day in quantity.meanings[:1]
        if isinstance(day, (Day, Moment)) and quantity.marker not in ("for", "by")
    ]
    lasted = [day for marker, day in days if marker in ("since", "until")]
    over_night = any(no_hour(day) and not _tonight(day) for day in lasted)
    if slots.has(UNKNOWN) or over_night or lexicon.says(slots.words, "all_night"):
        return talk.ask(replace(request, intent=MISSED))
    vague = any(_earlier(day) for _, day in days) or lexicon.says(slots.words, "long_since")
    if slots.clocks or not vague:
        return None
    total = plain(CoolingLimits.of(request.profile).total.value)
    shown = {"food": capital(slots.foods[0]), "total": total}
    asked = Answer("since_when", shown, ask=COOLING_START)
    return Outcome(asked, request.intent, request)


def _tonight(meaning: Time) -> bool:
    day = meaning if isinstance(meaning, Day) else meaning.day if isinstance(meaning, Moment) else None
    return day is not None and (day.offset or 0) >= 0 and day.which != "last" and day.weekday is None


def _earlier(meaning: Time) -> bool:
    """True for a time of this day or before without its hour: "this morning", "lunch", "last night"."""
    if isinstance(meaning, Moment) and meaning.day is None:
        return meaning.anchor not in ("", "now")
    day = meaning if isinstance(meaning, Day) else meaning.day if isinstance(meaning, Moment) else None
    if day is None or day.offset is None:
        return False
    return day.offset < 0 or (day.offset == 0 and day.part not in ("", "night"))
