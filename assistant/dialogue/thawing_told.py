"""Thawing under water told over several turns: begun with its start and what the water reads, and ended.

"Started seven forty five, the water is sixty six" is of the food whose thawing was spoken of; "prawns are
done, thirty nine inside" ends its clock and is a reading of it.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import agreed, recording
from assistant.dialogue.answer import Answer, Request, answer_function, capital, degrees, plain
from assistant.dialogue.answers.clocks import started_at
from assistant.dialogue.candidates import STILL_WAITS
from assistant.dialogue.clocks import running_clocks
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.said_at import NOW, when
from assistant.dialogue.reports.whose import tells_otherwise, times_told
from assistant.dialogue.slots import Slots
from assistant.dialogue.talking import talks
from assistant.dialogue.topic import Subject, told_of
from assistant.logbook.entry import Draft
from assistant.rules.compare import warmer_than
from intents.mentions import READ
from intents.readings import LEAST_BARE

BEGIN, END, WATER = "clock_thawing", "clock_end", "thaw_water"
_TOPIC = "thaw"
"""How the names of intents about thawing begin."""
_NEAR = 2
"""So many words may stand between "started" and its time."""
_SURELY = 0.6
"""From this share on the end of a clock is told."""


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return what is done with the start or the end of a thawing; ``None`` for anything else."""
    read = heard.interpretation
    if read.asked or read.heard.asks or not talk.addressed:
        return None
    return _ended(talk, heard) or _begun(talk, heard)


def _begun(talk: Conversation, heard: Heard) -> Outcome | None:
    """Begin the thawing that was just spoken of: "now it's sixty six with ice, started seven forty five"."""
    read, now, last = heard.interpretation.heard, talk.clock.now(), talk.state.last_request
    about, at = told_of(talk), talk.state.last_at
    lately = at is not None and now - at <= STILL_WAITS
    spoken_of = last is not None and lately and last.intent.startswith(_TOPIC)
    about = about if about is not None and spoken_of else _running(talk, heard, about)
    named = {span.value for span in read.names.get("food", ())}
    if about is None or named - {about.food} or read.names.get("equipment") or tells_otherwise(talk, heard):
        return None
    if named and not _thaws(heard):
        return None
    started = talk.interpreter.lexicon.list("cooling_from")
    each = [(told, when(told, now)) for way in times_told(talk, heard) for told in way]
    starts = {t: w for t, w in each if started & {*read.words[max(0, t.start - _NEAR) : t.end]}}
    told, found = next(iter(starts.items()), (None, NOW))
    if told is None or len(starts) > 1 or found.at is None or found.kind != "told" or found.others:
        return None
    slots = replace(Slots.of(read, heard.interpretation.meaning), foods=(about.food,), food_spans=())
    numbers = tuple(m for m in slots.measures if m.kind in READ and m.start not in told.words)
    if len(numbers) > 1:
        return None
    slots = replace(slots, clocks=(f"{found.at:%H:%M}",), measures=numbers, meaning=None)
    return agreed.if_inferred(talk, talk.ask(talk.request(BEGIN, slots)), about)


def _running(talk: Conversation, heard: Heard, about: Subject | None) -> Subject | None:
    """Return the food under water that words about thawing go on about, though its clock runs already."""
    now = talk.clock.now()
    clocks = [clock for clock in running_clocks(talk.log.views, now) if clock.kind == "thawing"]
    if about is not None and any(clock.food == about.food for clock in clocks):
        return about if len(clocks) > 1 else replace(about, inferred=False)
    return Subject(clocks[0].food, now, inferred=True) if _thaws(heard) and len(clocks) == 1 else None


def _thaws(heard: Heard) -> bool:
    best = heard.interpretation.best
    return best is not None and best.intent in (BEGIN, WATER)


@talks(BEGIN)
def with_water(talk: Conversation, request: Request) -> Outcome | None:
    """Begin the clock and keep what the water read, which must be cold enough; ``None`` without a number."""
    slots, most = request.slots, request.profile.limit("thaw_water_max")
    if (cold := _in_a_cooler(talk, request)) is not None:
        return cold
    numbers = slots.all_measures("number", "temperature")
    water = slots.temperature(talk.site.kitchen.units) if len(numbers) == 1 else None
    function = answer_function(BEGIN)
    bare = slots.measure("temperature") is None and talk.site.kitchen.units == "F"
    if water is None or function is None or not slots.foods or (bare and water.value < LEAST_BARE):
        return None  # "two trays of shrimp under water" reads nothing
    answer = function(request)
    if warmer_than(water, most):
        return _too_warm(talk, talk.ask(talk.request(WATER, slots)), answer)
    if answer is None or not answer.drafts:
        return None
    read = Draft(
        kind="event", subject=slots.foods[0], item=slots.foods[0], measured="thawing",
        value=plain(water.value), unit=water.unit, verdict="pass", note="water",
    )  # fmt: skip
    said = talk.words("water_read", value=degrees(water.value, water.unit))
    text = f"{talk.rendered(Outcome(answer, BEGIN))} {said}"
    return Outcome(replace(answer, drafts=(*answer.drafts, read)), BEGIN, request, text=text)


def _in_a_cooler(talk: Conversation, request: Request) -> Outcome | None:
    """Keep where food thaws that was put in a cooler: no clock runs there, and no water."""
    slots, lexicon = request.slots, talk.interpreter.lexicon
    cold = [place for place in slots.places if talk.site.kind_of(place) == "cold_holding"]
    said, since = " ".join(slots.words), started_at(request).isoformat() if slots.clocks else None
    if len(cold) != 1 or not slots.foods or lexicon.list("thaws_wet") & {*slots.words} or slots.asked:
        return None
    kept = Draft(kind="event", subject="food", place=cold[0], measured="thawing", said_at=since)
    names = ({"subject": food, "item": food, "note": f"moved: {said}"} for food in slots.foods)
    drafts = tuple(kept.model_copy(update=named) for named in names)
    text = talk.words("note_of", place=capital(talk.shown(cold[0])), text=said)
    used = frozenset(range(len(slots.words)))
    return Outcome(Answer("noted"), BEGIN, request, text=text, own_drafts=drafts, used=used)


def _too_warm(talk: Conversation, warm: Outcome, begun: Answer | None) -> Outcome:
    """Return what is said of water too warm, and keep that the clock which runs began earlier."""
    drafts = begun.drafts if begun is not None else ()
    earlier = tuple(draft for draft in drafts if draft.kind == "correction")
    if not earlier:
        return warm
    text = f"{talk.rendered(Outcome(begun, BEGIN))} {talk.rendered(warm)}"
    return replace(warm, text=text, own_drafts=(*warm.own_drafts, *earlier))


def _ended(talk: Conversation, heard: Heard) -> Outcome | None:
    """End the clock of "prawns finished, thirty nine inside", and take its number."""
    read, best = heard.interpretation.heard, heard.interpretation.best
    foods, places = read.names.get("food", ()), read.names.get("equipment", ())
    way = next(iter(times_told(talk, heard)), ())
    numbers = [m for m in read.free_measures if m.kind in READ]
    ends = best is not None and best.intent == END and best.share >= _SURELY
    if not ends or len({s.value for s in foods}) != 1 or len(places) > 1 or len(numbers) != 1 or way:
        return None
    number = numbers[0]
    said = " ".join(read.words[number.start : number.end])
    readings = talk.interpreter.answer_for("food", foods[0].value, said).certain
    if len(readings) != 1:
        return None
    its = replace(readings[0], place=places[0].value if places else "")
    behind = any(span.start < number.start for span in places)  # the drawer's own, or the food's?
    taken = recording.confirm(talk, (its,)) if behind else recording.take(talk, (its,), heard.read_as((its,)))
    end = talk.ask(talk.request(END, Slots(foods=(foods[0].value,))))
    if end.pending is not None:
        return None  # food that cools is ended by its reading
    text = f"{talk.rendered(end)} {taken.text or talk.rendered(taken)}"
    return replace(taken, text=text, own_drafts=(*end.drafts, *taken.own_drafts))
