"""Cooling batches begun: with the start told, with what it reads then or now, and beside others of the food.

"Rice cooling since nine, it's ninety now": the clock begins at the time told and the number is its first
reading; neither is lost for the other. A second batch of a food is kept apart from the first by its name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from fractions import Fraction

from assistant.dialogue import agreed, batches, cooling_progress
from assistant.dialogue.answer import Answer, Request, Value, answer_function, capital
from assistant.dialogue.clocks import STARTED, STOPPED, RunningClock, clock_draft, of_new_clock
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.cooling_batch import CHECK, begin_with, judge_batch, may_be_read
from assistant.dialogue.cooling_degrees import (
    START_AND_NOW,
    degrees_of,
    or_degrees,
    told_now,
    too_hot,
    with_degrees,
)
from assistant.dialogue.cooling_series import no_degrees
from assistant.dialogue.hearing import Heard
from assistant.dialogue.moments import past_moment
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.batch_words import BatchWords, batch_words
from assistant.dialogue.reports.said_at import NOW, when
from assistant.dialogue.reports.take import told_first
from assistant.dialogue.reports.times import Way, ways, without
from assistant.dialogue.slots import Slots
from assistant.dialogue.statements import asks
from assistant.dialogue.talking import talks
from assistant.dialogue.topic import Subject, told_of, without_short
from assistant.dialogue.which_place import say_again
from assistant.rules.basis import Temperature
from assistant.rules.compare import warmer_than
from assistant.rules.cooling import CoolingLimits
from assistant.rules.cooling_curve import CoolingReading, below_start
from intents.mentions import Understanding
from intents.readings import Reading
from intents.series import timed_temperatures

BEGIN = "clock_cooling"
_TOLD = 0.6
"""From this share on something is told, and not asked."""
_COOLS = ("cool", "cooling_is", "cooling_state", "still_cooling", "ice_bath")


@talks(BEGIN)
def begun(talk: Conversation, request: Request) -> Outcome | None:
    """Judge the number told by the start told; a start without a number is left to its answer."""
    request = _of_one_batch(talk, request)
    if (timed := _with_start(talk, request)) is not request:
        return talk.ask(timed)
    slots = request.slots
    numbers = tuple(m for m in slots.all_measures("number", "temperature") if may_be_read(request, m))
    if (degrees := told_now(talk, request)) is not None:
        request, numbers = with_degrees(request, degrees), (degrees,)
        slots = request.slots
    if len(slots.clocks) == 2 and not numbers and slots.heard is not None:
        return or_degrees(talk, request, slots.heard)
    if len(slots.foods) != 1:
        return None
    if not slots.clocks and len(numbers) > 1:
        return say_again()  # neither of them is dropped
    told = _batch_told(talk, request)
    temperature = slots.temperature(request.site.kitchen.units) if len(numbers) == 1 else None
    heard = slots.heard
    ordered = talk.interpreter.lexicon.says(slots.words, "begins_now")  # "all right, start a batch"
    if temperature is None or heard is None or (asks(heard) and not ordered) or len(slots.clocks) > 1:
        return _without_number(talk, request, told)
    start = past_moment(slots.clocks[0], request.now) if slots.clocks else request.now
    limit = CoolingLimits.of(request.profile).start
    if too_hot(temperature):
        return Outcome(Answer("ask_now", ask="temperature|number", intent=CHECK), BEGIN, request)
    if not below_start(temperature, limit):
        return _hot(talk, request, told, temperature, start)
    if not slots.clocks:
        return _without_number(talk, request, told)
    food = slots.foods[0]
    running = _running(talk, request.now, food, told)
    if len(running) > 1:
        return batches.which(talk, _reading(food, temperature), running)
    name = running[0].subject if running else batches.named(talk, food, told, start)
    clock = running[0] if running else RunningClock("cooling", name, start, 0, food)
    answer = judge_batch(replace(request, slots=replace(slots, clocks=())), clock, temperature)
    drafts = answer.drafts
    if not running:
        drafts = tuple(draft for draft in drafts if draft.kind != "clock")
        if answer.reply.startswith("batch"):
            drafts = (clock_draft("cooling", name, STARTED, start, food), *of_new_clock(drafts))
    return Outcome(replace(answer, drafts=drafts), CHECK, request)


@talks(CHECK)
def checked(talk: Conversation, request: Request) -> Outcome | None:
    """Answer for the batch told, or ask which; ``None`` leaves food without a doubt to its answer."""
    request = _of_one_batch(talk, request)
    if len(request.slots.clocks) == START_AND_NOW and (degrees := told_now(talk, request)) is not None:
        request = with_degrees(request, degrees)
    slots = request.slots
    if len(slots.foods) != 1 or slots.heard is None or request.slots.asked:
        return None
    food, told = slots.foods[0], _batch_told(talk, request)
    temperature = slots.temperature(request.site.kitchen.units)
    if temperature is None:
        return None
    running = _running(talk, request.now, food, told)
    reading = _reading(food, temperature)
    running = tuple(clock for clock in running if batches.may_be_of(talk, reading, clock))
    if len(running) > 1:
        return batches.which(talk, reading, running)
    limit = CoolingLimits.of(request.profile).start
    hot = not (below_start(temperature, limit) or too_hot(temperature))
    from_then = set(slots.words) & talk.interpreter.lexicon.list("cooling_from")
    timed = len(slots.clocks) == 1 and bool(from_then)
    if not running and hot and (timed or (told is not None and not slots.clocks)):
        start = past_moment(slots.clocks[0], request.now) if slots.clocks else request.now
        return _hot(talk, request, told, temperature, start)
    function = answer_function(CHECK)
    asked = replace(request, slots=replace(slots, foods=(running[0].subject,))) if running else request
    answer = function(asked) if function else None  # "clam stock" is one food
    return Outcome(answer, CHECK, request) if answer is not None else None


def _of_one_batch(talk: Conversation, request: Request) -> Request:
    """Return the request without the food that is only in the batch's name: "call it chowder a"."""
    slots, heard = request.slots, request.slots.heard
    if heard is None:
        return request
    called = [w for ways in batch_words(heard, talk.interpreter.lexicon) for w in ways if w.label]
    named = {i for way in called for i in range(way.start, way.end)}
    if len(slots.foods) == len(slots.food_spans):
        kept = [i for i, (start, _) in enumerate(slots.food_spans) if start not in named]
        foods = tuple(slots.foods[i] for i in kept)
        slots = replace(slots, foods=foods, food_spans=tuple(slots.food_spans[i] for i in kept))
    slots = slots.with_whole_foods()
    foods = without_short(slots.foods)  # "it's the pie lady, the key lime pie's cooling"
    return replace(request, slots=replace(slots, foods=foods) if len(foods) == 1 else slots)


def _with_start(talk: Conversation, request: Request) -> Request:
    """Return the request with the time in "came out of the oven at four fifty", which no pot reads.

    What is told so before anything is asked ("is that all right") is told, and no question.
    """
    slots, heard, meaning = request.slots, request.slots.heard, request.slots.meaning
    number = next(iter(slots.all_measures("number")), None) if len(slots.measures) == 1 else None
    degrees = degrees_of(talk, number) if number is not None else None
    if heard is None or meaning is None or number is None or degrees is None or not too_hot(degrees):
        return request
    every = [told for way in ways(heard, talk.interpreter.lexicon, meaning.roles) for told in way]
    told = next((t for t in every if t.bare and t.start <= number.start and number.end <= t.end), None)
    found = when(told, request.now)
    if told is None or found.kind != "told" or found.at is None:
        return request
    asked = None if told_first(talk, heard) else meaning
    return replace(request, slots=replace(slots, clocks=(f"{found.at:%H:%M}",), measures=(), meaning=asked))


def _reading(food: str, temperature: Temperature) -> Reading:
    return Reading(food, "food", temperature.value, "temperature", temperature.unit, "food")


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Begin a batch told with its start: "came off at one sixty, ice bath since ten to seven".

    Its food may have been named before: "so I'm cooling it, one thirty five at twenty past eleven".
    """
    read, lexicon = heard.interpretation, talk.interpreter.lexicon
    about = _about(talk, heard)
    if about is None or read.asked or read.heard.asks:
        return None
    begins = lexicon.says(read.heard.words, "begins_batch")
    if begins and set(read.heard.words) & lexicon.list("several_batches"):
        return say_again()
    slots = replace(Slots.of(read.heard, read.meaning), foods=(about.food,), food_spans=())
    request = talk.request(BEGIN, slots)
    series = timed_temperatures(read.heard, lexicon) if read.meaning.best.intent in (BEGIN, CHECK) else ()
    timed = begins or read.heard.has(*_COOLS)
    for way in ways(read.heard, lexicon, read.meaning.roles):
        times = [when(told, request.now) for told in way]
        each = zip(way, times, strict=True)  # "for tomorrow, ...", "for thursday, ..."
        past = [found for told, found in each if found.kind != "coming" and told.part != "plan"]
        found = next(iter(past), NOW)
        numbers = _numbers(talk, read.heard, way)
        if len(past) > 1 or found.at is None or found.kind not in ("told", "now") or None in numbers:
            continue
        told = [number for number in numbers if number is not None]
        if not {each.value for each in told} <= {each.measure.value for each in series} and len(series) > 1:
            continue
        if len(told) in (1, 2) and (begun_then := _with(talk, request, told, found.at, timed=timed)):
            return agreed.if_inferred(talk, begun_then, about)
        if len(told) == 1 and found.kind == "told" and lexicon.says(read.heard.words, "to_cool"):
            its = tuple(m for m in slots.measures if m.value == told[0].value)
            slots = replace(slots, clocks=(f"{found.at:%H:%M}",), measures=its)
            return begun(talk, replace(request, slots=slots))
    if len(series) > 1 and not any(each.open for each in series):
        judged = talk.ask(replace(request, intent=CHECK))
        if any(draft.kind == "reading" and draft.said_at for draft in judged.drafts):
            return agreed.read_back(talk, judged)  # hours ago, by halves of the day that nobody said
        if judged.drafts:
            return agreed.if_inferred(talk, judged, about)
    return (begun(talk, request) or talk.ask(request)) if begins else None


def _about(talk: Conversation, heard: Heard) -> Subject | None:
    """Return the food that begins to cool: the one named, else the one told of, if a start is surely told."""
    read = heard.interpretation
    named = read.heard.names.get("food", ())
    if named:
        foods = without_short(tuple(span.value for span in named))
        return Subject(foods[0], talk.clock.now()) if len(foods) == 1 else None
    best = read.best
    share = sum(guess.share for guess in read.meaning.guesses if guess.intent in (BEGIN, CHECK))
    told = talk.addressed and best is not None and best.intent in (BEGIN, CHECK) and share >= _TOLD
    unknown = Slots.of(read.heard, read.meaning).said_as("food")
    return told_of(talk) if told and not unknown and not read.heard.names.get("equipment") else None


def _numbers(talk: Conversation, heard: Understanding, way: Way) -> list[Temperature | None]:
    """Return the degrees told outside the times of ``way``, no count; ``None`` for an unclear number."""
    words = without(heard, [told.words for told in way])
    rest = talk.interpreter.readings_of(words).heard if words else None
    numbers = rest.free_measures if rest is not None else ()
    read = (m for m in numbers if m.kind in ("number", "temperature"))
    return [None if no_degrees(talk.site, m) else degrees_of(talk, m) for m in read]


def _with(
    talk: Conversation, request: Request, told: list[Temperature], start: datetime, *, timed: bool
) -> Outcome | None:
    """Begin a batch that was hot at its start, with what it reads now where that was told, too."""
    limit, food = CoolingLimits.of(request.profile).start, request.slots.foods[0]
    hot, *cool = sorted(told, key=lambda each: each.in_unit("F"), reverse=True)
    batch = _batch_told(talk, request)
    runs = batch is None and batches.cooling(talk, request.now, food)
    if below_start(hot, limit) or too_hot(hot) or runs:
        return None
    if not cool:
        return _hot(talk, request, batch, hot, start) if timed else None
    best = request.slots.meaning.best if request.slots.meaning is not None else None
    if best is None or best.intent not in (BEGIN, CHECK):
        return None
    first = _hot(talk, request, None, hot, start)
    clock = RunningClock("cooling", food, start, 0, food)
    then = (CoolingReading(Fraction(0), hot),)
    judged = judge_batch(replace(request, slots=replace(request.slots, clocks=())), clock, cool[0], then)
    return _both(first, judged, request)


def another(talk: Conversation, heard: Heard) -> Outcome | None:
    """Begin "and a second one, rice pudding seventy" right after another batch was begun."""
    read, now = heard.interpretation.heard, talk.clock.now()
    foods, numbers = read.names.get("food", ()), _numbers(talk, read, ())
    begun = talk.state.recent(now) and any(line.now.measured == "cooling" for line in talk.last_lines)
    one_more = {*read.words} & talk.interpreter.lexicon.list("one_more")
    if len(foods) != 1 or len(numbers) != 1 or not (begun and one_more):
        return None
    food, temperature = foods[0].value, numbers[0]
    if temperature is None or too_hot(temperature) or batches.cooling(talk, now, food):
        return None
    if not warmer_than(temperature, CoolingLimits.of(talk.site.profile).middle):
        return None  # that is no food that begins to cool
    return _hot(talk, talk.request(BEGIN, Slots.of(read)), None, temperature, now)


def _both(first: Outcome, judged: Answer, request: Request) -> Outcome:
    """Return the start, its reading and the one of now as one outcome, judged by the last."""
    started = first.answer.drafts if first.answer is not None else ()
    ended = any(draft.kind == "clock" for draft in judged.drafts)
    reading, *rest = judged.drafts
    reading = reading.model_copy(update={"refers_to": -len(started)})
    kept = tuple(draft for draft in rest if draft.kind != "clock" or ended)
    return Outcome(replace(judged, drafts=(*started, reading, *kept)), CHECK, request)


def _batch_told(talk: Conversation, request: Request) -> BatchWords | None:
    """Return what was told of the batch, in the way of most words that tells it from others."""
    heard = request.slots.heard
    if heard is None:
        return None
    ways = batch_words(heard, talk.interpreter.lexicon)
    every = [way for each in ways for way in each if way.telling]
    return next((way for way in every if way.label), next(iter(every), None))


def _running(
    talk: Conversation, now: datetime, food: str, told: BatchWords | None
) -> tuple[RunningClock, ...]:
    clocks = batches.cooling(talk, now, food)
    if told is None or not clocks:
        return clocks
    return batches.fitting(clocks, told, talk.interpreter.lexicon)


def _without_number(talk: Conversation, request: Request, told: BatchWords | None) -> Outcome | None:
    """Start the clock of a batch; where others of the food are cooling, beside them and by its own name."""
    if (long := cooling_progress.cooled_long(talk, request)) is not None:
        return long
    food = request.slots.foods[0]
    others = batches.cooling(talk, request.now, food)
    function = answer_function(BEGIN)
    more = request.slots.has("yes") or _is_another(talk, others, told)
    if function is None or (not told and not others) or (others and not more):
        return None
    concepts = request.slots.concepts - {"no"} | {"yes"}
    answer = function(replace(request, slots=replace(request.slots, concepts=concepts)))
    if answer is None or not any(draft.kind == "clock" for draft in answer.drafts):
        return None
    started = next(draft for draft in answer.drafts if draft.note == STARTED)
    start = datetime.fromisoformat(started.said_at) if started.said_at else request.now
    name = batches.named(talk, food, told, start)
    return Outcome(_renamed(answer, food, name), BEGIN, request)


def _is_another(talk: Conversation, others: tuple[RunningClock, ...], told: BatchWords | None) -> bool:
    """True when the words tell a batch that none of the running ones is."""
    if told is None:
        return False
    fitting = batches.fitting(others, told, talk.interpreter.lexicon)
    return told.new or not fitting or _other_size(others, told)


def _other_size(others: tuple[RunningClock, ...], told: BatchWords) -> bool:
    """True for a size or an order told beside batches that have no such name."""
    said = told.said.split()[0]
    return told.ordinal != 1 and not any(said in clock.subject.split() for clock in others)


def _renamed(answer: Answer, food: str, name: str) -> Answer:
    """Return the start of a clock under the batch's own name; those that run beside it go on."""
    drafts = tuple(
        draft.model_copy(update={"subject": name, "item": food}) if draft.subject == food else draft
        for draft in answer.drafts
        if not (draft.kind == "clock" and draft.note.startswith(STOPPED))
    )
    values: Mapping[str, Value] = {**answer.values, "food": capital(name)}
    return replace(answer, drafts=drafts, values=values)


def _hot(
    talk: Conversation, request: Request, told: BatchWords | None, temperature: Temperature, start: datetime
) -> Outcome:
    """Start the clock of a batch that is still hot, as of the time told; what it reads "now" is of now."""
    food, read_now = request.slots.foods[0], request.slots.has("now_word")
    name = batches.named(talk, food, told, start)
    read_at = request.now if read_now else start
    answer = begin_with(
        replace(request, now=read_at, slots=replace(request.slots, foods=(food,))), temperature
    )
    answer = _renamed(answer, food, name)
    if start != request.now:
        said = start.isoformat(timespec="seconds")
        then = ("clock",) if read_now else ("clock", "reading")
        drafts = (d.model_copy(update={"said_at": said}) if d.kind in then else d for d in answer.drafts)
        answer = replace(answer, drafts=tuple(drafts))
    return Outcome(answer, CHECK, request)
