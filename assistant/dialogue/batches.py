"""Readings of food whose cooling clock runs, said like any other reading ("rice is forty-five").

A food may have several batches. Which one is meant is told by its size, order or start, or is asked.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from decimal import Decimal

from assistant.dialogue.answer import Answer, Request
from assistant.dialogue.clocks import STOPPED, RunningClock, name_words, running_clocks, same_subject
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.cooling_batch import batch_answer
from assistant.dialogue.moments import past_moment, shown_time
from assistant.dialogue.outcome import Outcome, worst
from assistant.dialogue.record import withdrawn
from assistant.dialogue.reports.batch_words import BatchWords, batch_words, ordinal_of, size_of
from assistant.dialogue.say import render
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import Pending
from assistant.dialogue.which_place import which_ones
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.views import Line
from assistant.rules.basis import Temperature, Verdict
from assistant.rules.cooling import CoolingLimits
from intents.equipment_kinds import unusual
from intents.lexicon import Lexicon
from intents.mentions import Measure, Understanding
from intents.readings import Reading

Batch = tuple[Reading, RunningClock]
CHILLER = "blast_chiller"
COOLING_PLACES = ("", "cold_holding", "egg_cooler", "freezer", CHILLER)
JUST_STARTED_HOURS = Decimal("0.5")
READING = "reading"
_TWO = 2


def cooling(talk: Conversation, now: datetime, food: str = "") -> tuple[RunningClock, ...]:
    """Return the cooling clocks of a food (of every food if empty), the earliest start first.

    A short name ("the soup") is that of the pea soup where no food of that very name is cooling.
    """
    found = [clock for clock in running_clocks(talk.log.views, now) if clock.kind == "cooling"]
    found.sort(key=lambda clock: (clock.start, clock.entry_id))
    if not food:
        return tuple(found)
    named = [clock for clock in found if clock.subject == food != clock.food]
    alike = named or [clock for clock in found if same_subject(clock.food, food)]
    return tuple(alike or [clock for clock in found if _short_for(clock.food, food)])


def _short_for(one: str, other: str) -> bool:
    first, second = name_words(one), name_words(other)
    return first <= second or second <= first


def fitting(clocks: Sequence[RunningClock], told: BatchWords, lexicon: Lexicon) -> tuple[RunningClock, ...]:
    """Return those of a food's clocks (the earliest first) that ``told`` can mean."""
    if told.new:
        return ()
    if told.label:
        return tuple(clock for clock in clocks if _label(clock) == told.label)
    if told.ordinal:
        named = tuple(c for c in clocks if ordinal_of(_label(c), lexicon) == told.ordinal)
        unnamed = [c for c in clocks if not ordinal_of(_label(c), lexicon)]
        return named or tuple(unnamed[told.ordinal - 1 : told.ordinal] if len(unnamed) == len(clocks) else
                              unnamed[:1] if told.ordinal == 1 else ())  # fmt: skip
    if told.size:
        named = tuple(c for c in clocks if size_of(_label(c), lexicon) == told.size)
        return named or tuple(c for c in clocks if not size_of(_label(c), lexicon))
    return tuple(c for c in clocks if told.container in _label(c).split()) or tuple(clocks)


def _label(clock: RunningClock) -> str:
    """Return what a batch is called beside its food ("big pot"), or an empty string."""
    name = clock.subject.removesuffix(clock.food).removeprefix(clock.food)
    return name.strip() if clock.subject != clock.food else ""


def named(talk: Conversation, food: str, told: BatchWords | None, start: datetime) -> str:
    """Return the name of a new batch: by what was told of it, else by its start where others are cooling."""
    others = cooling(talk, start, food)
    if told is not None and told.label:
        return f"{food} {told.label}"
    if told is not None and (told.size or told.ordinal > 0):
        which = told.said if told.container else f"{told.said} {talk.words('batch_word')}"
        name = talk.words("batch_named", which=which, food=food)
    elif others:
        name = talk.words("batch_from", food=food, time=shown_time(start))
    else:
        return food
    return name


def shown(clocks: Iterable[RunningClock], talk: Conversation) -> str:
    """Return batches as they are asked about ("big pot of chili from 10:00 am, or chili from 10:30 am")."""
    names = []
    for clock in clocks:
        time = shown_time(clock.start)
        name = clock.subject if time in clock.subject else ""
        names.append(name or talk.words("batch_from", food=clock.subject, time=time))
    return f", {talk.words('or_word')} ".join(names)


def which(talk: Conversation, reading: Reading, clocks: Sequence[RunningClock]) -> Outcome:
    """Ask which batch a reading is of."""
    options = tuple((replace(reading, batch=clock.entry_id),) for clock in clocks)
    text = talk.words("which_batch", food=reading.subject, list=shown(clocks, talk))
    waiting = Pending("choose", talk.clock.now(), options=options)
    return Outcome(Answer("say_again"), READING, text=text, pending=waiting, keep_context=True)


def asked(talk: Conversation, readings: tuple[Reading, ...]) -> Outcome | None:
    """Ask which batch is meant, where one of the readings fits several; ``None`` where none is in doubt."""
    for reading in readings:
        clocks = _open(talk, reading)
        if len(clocks) > 1:
            return which(talk, reading, clocks) if len(readings) == 1 else which_ones()
    return None


def or_of_place(
    talk: Conversation, readings: tuple[Reading, ...], said: Understanding | None = None
) -> tuple[tuple[Reading, ...], ...]:
    """Return a number far too warm for its cold place as of that place, or of what cools in it.

    "They're all in the walk-in, the middle one's sixty four": nothing where it was asked already, or where
    it is told plainly.
    """
    waiting, reading = talk.state.pending, readings[0]
    celsius = (reading.unit or talk.site.kitchen.units) == "C"
    asked_so = waiting is not None and waiting.kind == "choose" and readings in waiting.options
    strange = unusual(talk.site.kind_of(reading.subject), reading.value, celsius)
    if asked_so or len(readings) > 1 or reading.quantity != "temperature" or not strange:
        return ()
    clocks = [clock for clock in cooling(talk, talk.clock.now()) if may_be_of(talk, reading, clock)]
    if not clocks or (said is not None and _plainly_of(talk, said, reading)):
        return ()
    food = replace(reading, subject_kind="food", measured="food")
    return (readings, *((replace(food, subject=c.food, batch=c.entry_id),) for c in clocks))


def _plainly_of(talk: Conversation, said: Understanding, reading: Reading) -> bool:
    """True for "walk-in's at sixty six": nothing but small words between a place and its number."""
    small = talk.interpreter.lexicon.small("read_at")
    names = [s.end for s in said.names.get("equipment", ()) if s.value == reading.subject]
    numbers = [m.start for m in said.free_measures if reading.value in m.options]
    return any(end <= at and {*said.words[end:at]} <= small for end in names for at in numbers)


def chosen(
    talk: Conversation, options: Sequence[tuple[Reading, ...]], heard: Understanding
) -> tuple[Reading, ...] | None:
    """Return the one of ``options``, which differ in their batch, that an answer tells; else ``None``."""
    lexicon, now = talk.interpreter.lexicon, talk.clock.now()
    if not _tells_only_a_batch(heard, lexicon):
        return None
    wanted = [option[0].batch for option in options if len(option) == 1 and option[0].batch > 0]
    clocks = [clock for clock in cooling(talk, now) if clock.entry_id in wanted]
    if len(clocks) < _TWO:
        return None
    found: tuple[RunningClock, ...] = ()
    for way in batch_words(heard, lexicon)[:1]:
        found = next((fit for told in way if len(fit := fitting(clocks, told, lexicon)) == 1), ())
    at = {f"{past_moment(span.value, now):%H:%M}" for span in heard.clocks}
    found = found or tuple(clock for clock in clocks if f"{clock.start:%H:%M}" in at)
    foods = {span.value for span in heard.names.get("food", ())}
    found = found or tuple(clock for clock in clocks if any(_short_for(clock.food, food) for food in foods))
    if len(found) != 1:
        return None
    return next(option for option in options if option[0].batch == found[0].entry_id)


def _tells_only_a_batch(heard: Understanding, lexicon: Lexicon) -> bool:
    """True where nothing is said but which batch: "tossed the small one" tells more."""
    told = (ways[0] for ways in batch_words(heard, lexicon))
    small = lexicon.small("before_time", "since", "batch_one", "batch_told")
    return heard.only((*heard.names.get("food", ()), *heard.clocks, *told), small)


def _open(talk: Conversation, reading: Reading) -> tuple[RunningClock, ...]:
    """Return the clocks that a reading can belong to: none for food on the steam table, or much hotter."""
    if reading.subject_kind != "food" or talk.site.kind_of(reading.place) not in COOLING_PLACES:
        return ()
    now = moment_of(reading, talk.clock.now())
    if reading.batch:
        return tuple(clock for clock in cooling(talk, now) if clock.entry_id == reading.batch)
    return tuple(clock for clock in cooling(talk, now, reading.subject) if may_be_of(talk, reading, clock))


def may_be_of(talk: Conversation, reading: Reading, clock: RunningClock) -> bool:
    """True unless the food is as hot as at the start, long after it: that is another batch."""
    if clock.hours(moment_of(reading, talk.clock.now())) <= JUST_STARTED_HOURS:
        return True
    limit = CoolingLimits.of(talk.site.profile).start
    read = Temperature(reading.value, "C" if (reading.unit or talk.site.kitchen.units) == "C" else "F")
    return read.in_unit("C" if limit.unit == "C" else "F") < limit.value


def split(talk: Conversation, readings: tuple[Reading, ...]) -> tuple[tuple[Batch, ...], tuple[Reading, ...]]:
    """Return the readings of food that is cooling, each with its clock, and the others."""
    batches: list[Batch] = []
    others: list[Reading] = []
    for reading in readings:
        clocks = _open(talk, reading)
        if len(clocks) == 1:
            batches.append((reading, clocks[0]))
        else:
            others.append(reading)
    return tuple(batches), tuple(others)


def chilled(talk: Conversation, readings: tuple[Reading, ...]) -> Outcome | None:
    """Return the answer of cooling for one food in a blast chiller, in which nothing is kept."""
    if len(readings) != 1 or talk.site.kind_of(readings[0].place) != CHILLER:
        return None
    reading = readings[0]
    measure = Measure("temperature", (reading.value,), reading.unit or talk.site.kitchen.units, 0, 1)
    request = talk.request("cooling_check", Slots(foods=(reading.subject,), measures=(measure,)))
    outcome = talk.ask(replace(request, said_at=reading.said_at))
    answer = outcome.answer
    if answer is None:
        return outcome
    kept = tuple(
        d.model_copy(update={"place": reading.place}) if d.kind == READING else d for d in answer.drafts
    )
    return replace(outcome, answer=replace(answer, drafts=kept), readings=readings)


def moment_of(reading: Reading, now: datetime) -> datetime:
    """Return when a reading was: as told, else now."""
    return datetime.fromisoformat(reading.said_at) if reading.said_at else now


def _told(request: Request, reading: Reading, clock: RunningClock) -> Answer:
    """Judge one reading of a batch as of the time told, and keep that time."""
    at = moment_of(reading, request.now)
    answer = batch_answer(
        replace(request, now=at, said_at=reading.said_at), clock, reading.value, reading.unit
    )
    drafts = (d.model_copy(update=_told_with(d, reading)) for d in answer.drafts)
    return replace(answer, drafts=tuple(drafts))


def _told_with(draft: Draft, reading: Reading) -> dict[str, str | None]:
    """Return the place and time that were told with a reading of a batch."""
    place = {"place": reading.place} if draft.kind == "reading" else {}
    return {"said_at": reading.said_at or draft.said_at, **place}


def joined(
    talk: Conversation, batches: tuple[Batch, ...], others: Outcome | None, readings: tuple[Reading, ...]
) -> Outcome:
    """Return one outcome for the readings of batches and, said in the same breath, ``others``."""
    slots = Slots(foods=tuple(reading.subject for reading, _ in batches))
    request = talk.request("cooling_check", slots)
    told = [_told(request, reading, clock) for reading, clock in batches]
    texts = [render(answer, answer.intent, talk.catalogue) for answer in told]
    verdicts = {answer.verdict for answer in told} | ({others.verdict} if others else set())
    drafts = tuple(draft for answer in told for draft in answer.drafts)
    sources = tuple(source for answer in told for source in answer.sources)
    before = others.text if others and others.text else ""
    return Outcome(
        Answer("pass", sources=sources),
        "reading",
        request,
        " ".join([before, *texts]).strip(),
        (*(others.own_drafts if others else ()), *drafts),
        pending=others.pending if others else None,
        own_verdict=worst(verdicts),
        readings=readings,
    )


def corrected(talk: Conversation, line: Line, reading: Reading) -> Outcome:
    """Change a reading of a cooling batch, which stays one of it; what the wrong number ended goes on."""
    unit = reading.unit or line.now.unit
    draft = Draft(
        kind="correction", subject=line.now.subject, item=line.now.item, measured="cooling", unit=unit,
        value=f"{reading.value.normalize():f}", verdict=Verdict.CANNOT_JUDGE.value, refers_to=line.entry.id,
        note=line.now.note,
    )  # fmt: skip
    ended = Filter(kinds=("clock",), subject=line.now.subject, measured="cooling", standing_only=True)
    last = talk.log.views.latest(ended)
    stopped = last is not None and last.entry.id > line.entry.id and last.now.note.startswith(STOPPED)
    undone = (withdrawn(last),) if last is not None and stopped else ()
    name = talk.shown(line.now.subject)
    call_back = f"{name[:1].upper()}{name[1:]}, {draft.value}°{unit}."
    return Outcome(
        Answer("corrected", {"call_back": call_back}),
        "correction",
        own_drafts=(draft, *not_open_there(talk, line), *undone),
        readings=(reading,),
        reading_ids=(line.entry.id,),
    )


def not_open_there(talk: Conversation, line: Line) -> tuple[Draft, ...]:
    """Take back the actions opened for a reading at the place or food that it turns out not to be of."""
    opened = (o for o in talk.log.views.open_actions() if o.entry.refers_to == line.entry.id)
    return tuple(map(withdrawn, opened))
