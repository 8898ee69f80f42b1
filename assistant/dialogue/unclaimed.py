"""The numbers of a turn that what was decided did not use: the one place that asks, whatever was understood.

"Taped it and it's up to one fifty", "it's gone dark purple, strip says two hundred", "chicken's back on, one
sixty eight now": the deed stays noted, the advice given, and the number is logged or read back beside it, of
what is named with it, else of what the answer or the talk was about. Where nothing was understood, all that
is said is the number; a number told before a question is offered; what was asked is never logged.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from assistant.dialogue import implied, in_clauses, lacking, leaning, notes, recording
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.emergencies import emergency_intents
from assistant.dialogue.hearing import Heard
from assistant.dialogue.judge import judge_all
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.record import drafts_for, rule_text
from assistant.dialogue.reports import core, fits, ledger, one_food, pieces, take, unplaced, whose
from assistant.dialogue.reports.core import Readings
from assistant.dialogue.reports.counted import is_count
from assistant.dialogue.reports.deeds import STARTS
from assistant.dialogue.reports.mentioned import mentioned
from assistant.dialogue.reports.said_at import when
from assistant.dialogue.reports.times import BEFORE_A_TIME
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import Pending
from assistant.dialogue.statements import asks, wished
from assistant.dialogue.topic import Topic, topics
from assistant.rules.basis import Verdict
from intents.meaning import Meaning
from intents.mentions import READ, Measure
from intents.number_roles import differs_from_past, words_of_others

_OF_FOOD = ("cook_done", "holding_check", "reheat_check")
_MACHINES = ("dish_machine_hot", "dish_machine_chemical")
_OF_PLACES = {
    "dish_wash": (_MACHINES, "wash"),
    "dish_rinse": (_MACHINES[:1], "final rinse"),
    "dish_chemical": (_MACHINES[1:], ""),
    "dish_wrong": (_MACHINES, ""),
    "strength_ok": (("sanitizer_bucket", "sanitizer_sink", "dish_machine_chemical"), ""),
}
"""Intents of what is judged, with the kinds of place that it can be of and what was measured there."""
_UNJUDGED = ("place_not_said", "neither")
_MOST_ASKED = 2
UNHEARD = frozenset(
    {"say_again", "which_two", "not_here", "unknown_question", "not_sure", "which", "which_place"}
)
"""Replies to words that came to nothing."""
SURELY = 0.8
"""From this share of telling on a number of a place is meant for the log, and advice alone would lose it."""
_ASKED, _TALK = 0.5, 0.5
"""Shares of asking and of talk from which nothing is logged by itself (judgement)."""


def read(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return what was decided with the numbers that it did not use."""
    if not heard.interpretation.heard.words or _only_times(talk, heard, outcome):
        return outcome
    read_so = bool(outcome.readings)
    open_ = not read_so or differs_from_past(heard.interpretation.heard)
    if open_ and (moved := unplaced.moved_by(talk, heard, read_so=read_so)) is not None:
        return moved
    judged = _judged(talk, heard, outcome)
    if judged is not outcome:
        return judged
    if outcome.intent == take.BACKDATE and (today := _read_today(talk, heard)) is not None:
        return today
    if _came_to_nothing(outcome):
        return _instead(talk, heard, outcome) or outcome
    return _beside(talk, heard, outcome)


def _only_times(talk: Conversation, heard: Heard, outcome: Outcome) -> bool:
    """True where every number is of a time that a deed took: "changed it at twenty past"."""
    said = heard.interpretation.heard
    named = {i for spans in said.names.values() for s in spans for i in range(s.start, s.end)}
    numbers = {i for q in said.quantities for i in range(q.start, q.end)} - named
    told = (t for way in whose.times_told(talk, heard) for t in way if numbers <= outcome.used)
    timed = {i for t in told if not t.bare or said.words[t.start] in BEFORE_A_TIME for i in t.words}
    return bool(numbers) and numbers <= timed


def _came_to_nothing(outcome: Outcome) -> bool:
    """True where nothing was said or done, or all that is asked is what it is of."""
    answer = outcome.answer
    if outcome.drafts or outcome.text is not None:
        return False
    known = outcome.pending is None or (answer is not None and answer.reply == "which")
    lacks = answer is not None and answer.ask in ("food", "place")
    return answer is None or (answer.reply in UNHEARD and known) or lacks


def _instead(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome | None:
    """Return the reading that words hold which came to nothing, as of the place spoken of just before."""
    if outcome.answer is None and (told := in_clauses.told_whole(talk, heard)) is not None:
        return told
    if leaning.on_nothing(heard.interpretation):
        return None  # "salmon to forty one", called out to somebody
    placed = whose.report(talk, heard) or pieces.report(talk, heard)
    if placed is None and (cools := in_clauses.cooling(talk, heard)) is not None:
        return cools
    meaning = heard.interpretation.meaning
    silent = outcome.answer is None and meaning.act == "tell" and meaning.talk < _TALK
    lost = silent or (outcome.answer is not None and outcome.answer.reply == "say_again")
    return unplaced.which_place(talk, heard) if lost and placed is None else placed


def _read_today(talk: Conversation, heard: Heard) -> Outcome | None:
    """Read back what was read earlier today, or what waits for a yes: neither was missed."""
    waiting = talk.state.pending
    if (told := pieces.report(talk, heard, timed=True)) is not None:
        return told
    waits = waiting is not None and waiting.kind == "confirm" and talk.addressed
    return recording.confirm(talk, waiting.readings) if waits and waiting is not None else None


def _beside(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return a deed or an advice with what was read in the same breath."""
    asks = outcome.pending is not None and outcome.pending.kind != "slot"
    read = outcome.readings or any(draft.kind in ledger.MEASURED for draft in outcome.drafts)
    if asks or read or outcome.intent in (recording.READING, implied.WRONG_STRIP, *take.REFUSED):
        return outcome
    if outcome.intent in emergency_intents(talk.interpreter.lexicon):
        return outcome
    if outcome.drafts:
        told = _of_deed(talk, heard, outcome)
        return outcome if told is None else _after_deed(talk, heard, outcome, told)
    return _of_advice(talk, heard, outcome)


def _of_advice(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return an advice with what was read; what is told of nothing else stands in place of a doubtful one."""
    meaning = heard.interpretation.meaning
    if meaning.act not in ("tell", "answer"):
        return _before_question(talk, heard, outcome)
    if _holds(outcome.pending, asked=False):
        return outcome
    tells = meaning.share_of("tell")
    surely = tells >= (_ASKED if _named_first(talk, heard) else SURELY) and outcome.verdict is None
    if (told := whose.report(talk, heard, unnamed=not surely)) is not None:
        if _of_before(outcome, told):
            return outcome
        doubtful = meaning.best.share < SURELY or outcome.answer is None
        return told if doubtful else _with_advice(talk, outcome, told)
    cools = any(topic.batch for topic in topics(talk))  # nothing is asked of a batch whose clock runs
    held = _holds(outcome.pending, asked=True) and not cools
    told = pieces.report(talk, heard, another=True) if surely and not held else None
    return outcome if told is None or _of_before(outcome, told) else _with_advice(talk, outcome, told)


def _of_before(outcome: Outcome, told: Outcome) -> bool:
    """True where it is asked what cooling food reads now, and what was ``told`` has no time of today."""
    asks_now = outcome.answer is not None and outcome.answer.reply == "ask_now"
    readings = told.pending.readings if told.pending is not None else told.readings
    return asks_now and any(not reading.said_at for reading in readings)


def _named_first(talk: Conversation, heard: Heard) -> bool:
    """True for "the dish machine's gauge says one eighty, ...": one place by its name, then its number."""
    said = heard.interpretation.heard
    first = next((m.start for m in said.free_measures if m.kind in READ), 0)
    places = (m for m in mentioned(talk, heard, ()) if m.end <= first and not m.food)
    return not asks(said) and any(len(place.can_be) == 1 for place in places)


def _before_question(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return an answer with what was told before it was asked: "gumbo's at one sixty, how long can i go"."""
    read = heard.interpretation
    numbers = [m for m in read.heard.free_measures if m.kind in READ]
    silent = outcome.answer is None or outcome.pending is not None
    if silent or not talk.addressed or not numbers or not take.told_first(talk, read.heard):
        return outcome
    said = " ".join(read.heard.words[: numbers[-1].end])
    first = replace(heard, interpretation=talk.interpreter.interpret(said), text=said)
    if asks(first.interpretation.heard) or first.interpretation.meaning.share_of("tell") < _ASKED:
        return outcome
    told = pieces.report(talk, first, another=True, asked=True)
    return outcome if told is None else _with_advice(talk, outcome, told)


def _holds(waiting: Pending | None, *, asked: bool) -> bool:
    """True where the number itself waits with the question: "which bucket?"; ``asked``: "how long?", too."""
    if waiting is None or waiting.request is None or {*READ} & {*waiting.slot.split("|")}:
        return False  # "what does it read?" of a number that was told
    slots = waiting.request.slots
    numbers = (m for m in slots.measures if m.kind in READ)
    return any(not m.end or (asked and slots.usage.looked_at(m.kind)) for m in numbers)


def _of_deed(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome | None:
    """Return what was read beside a deed, of the numbers that are no part of it."""
    asks = outcome.pending is not None or (outcome.intent in STARTS and outcome.text is not None)
    if not talk.addressed or asks:
        return None
    told = whose.report(talk, heard) or pieces.report(talk, heard, another=True)
    read = (*told.readings, *ledger.pending_readings(told)) if told is not None else ()
    bare = (
        d.model_copy(update={"note": ""} if d.note.startswith(notes.WHOLE) else {}) for d in outcome.drafts
    )
    used = ledger.used_by(talk, replace(outcome, answer=outcome.bare, own_drafts=tuple(bare)))
    return told if read and not used & {reading.value for reading in read} else None


def _after_deed(talk: Conversation, heard: Heard, outcome: Outcome, told: Outcome) -> Outcome:
    """Return what was read with the deed before it, which is kept once: with the action that it is about."""
    about = {draft.refers_to for draft in told.drafts if draft.kind == "event"}
    twice = (d for d in outcome.drafts if about and (d.refers_to in about or d.subject == "note"))
    deeds = tuple(draft for draft in outcome.drafts if draft not in {*twice})
    only_noted = all(map(notes.is_note, outcome.drafts))
    if only_noted:  # in all words: what sounded like its time may be the number
        words = f": {' '.join(heard.interpretation.heard.words)}"
        whole = ({"said_at": None, "note": d.note.partition(":")[0] + words} for d in deeds)
        deeds = tuple(d.model_copy(update=told_so) for d, told_so in zip(deeds, whole, strict=True))
    deed = talk.words("noted") if only_noted else talk.rendered(outcome)
    text = f"{deed} {talk.rendered(told)}"
    return replace(told, text=text, own_drafts=(*deeds, *told.own_drafts))


def _judged(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return an answer about a number with its entry, or with the offer to log it."""
    read = heard.interpretation
    answered = outcome.answer is not None and outcome.text is None and not outcome.readings
    known = outcome.intent in _OF_FOOD or outcome.intent in _OF_PLACES
    if not answered or not known or outcome.drafts or not talk.addressed or not read.heard.words:
        return outcome
    options, plain = _options(talk, heard, outcome) if read.meaning.talk < _TALK else ((), True)
    if (of_several := _of_several(talk, heard, outcome, options)) is not None:
        return of_several
    if not options:
        return outcome
    if _asked(talk, heard, read.meaning):
        asked = len(options) == 1 and outcome.pending is None and take.told_first(talk, read.heard)
        return _offered(talk, outcome, options[0]) if asked else outcome
    if any(wished(read.heard, m) for m in read.heard.free_measures if m.value == options[0][0].value):
        return outcome
    if len(options) > 1:
        most = len(options) > _MOST_ASKED  # "sani's testing one hundred" of six buckets
        return outcome if most else _with_advice(talk, outcome, recording.ask_which(talk, options))
    lasted = any(measure.kind == "duration" for measure in read.heard.measures)  # held for so long, or waited
    foods = outcome.request.slots.foods if outcome.request is not None else ()
    others = len(options[0]) > 1 and sum(named.food for named in mentioned(talk, heard, ())) > 1
    several = len(foods) > 1 or others  # "the chicken's done, the beef's at ...", with names nobody listed
    one = (plain or outcome.intent in _OF_FOOD) and not several
    if lasted or not one:  # "on the single temp machine"
        told = pieces.report(talk, heard, another=True) if several else None
        if told is not None:
            return _with_advice(talk, outcome, told)
        return _with_advice(talk, outcome, recording.confirm(talk, options[0]))
    whole = heard.read_as(*options, core=read)
    return _judged_so(talk, outcome, recording.take(talk, options[0], whole))


def _of_several(
    talk: Conversation, heard: Heard, outcome: Outcome, options: tuple[Readings, ...]
) -> Outcome | None:
    """Return what is done where an answer passed a number of food that has others, or that nothing read.

    Asked, it is answered by the least of them: no yes to one while another is not there.
    """
    if outcome.verdict is not Verdict.PASS or outcome.intent not in _OF_FOOD or outcome.request is None:
        return None
    told = options[0] if options and len(options[0]) > 1 else _every(talk, heard, outcome)
    if not _asked(talk, heard, heard.interpretation.meaning):
        return recording.confirm(talk, told) if told and len(told) > sum(map(len, options)) else None
    if len(told) <= 1:
        return None
    least, slots = min(reading.value for reading in told), outcome.request.slots
    only = tuple(m for m in slots.measures if m.kind not in READ or least in m.options)
    return talk.ask(replace(outcome.request, slots=replace(slots, measures=only)))


def _asked(talk: Conversation, heard: Heard, meaning: Meaning) -> bool:
    said = heard.interpretation.heard
    politely = talk.interpreter.lexicon.politely(said.words)
    return not politely and (said.asks or meaning.share_of("ask", "leave") > _ASKED)


def _offered(talk: Conversation, outcome: Outcome, readings: Readings) -> Outcome:
    """Return the answer, or the judgement where it has none, with "log it?" behind it."""
    if outcome.verdict is None and outcome.intent in _OF_PLACES:
        return recording.judge_only(talk, readings, offer=True)
    offered = _with_advice(talk, outcome, recording.offer_of(talk, readings))
    return replace(offered, own_verdict=outcome.verdict)


def _with_advice(talk: Conversation, outcome: Outcome, asked: Outcome) -> Outcome:
    """Return a question about a reading behind what the answer said; "which food?" is answered by it."""
    wants = outcome.answer is None or outcome.answer.ask
    said = talk.rendered(asked)
    text = f"{talk.rendered(outcome)} {said}"
    kept = replace(asked, intent=outcome.intent, text=text, answer=outcome.answer, request=outcome.request)
    return asked if wants else kept  # "why" is asked of the answer


def _judged_so(talk: Conversation, outcome: Outcome, taken: Outcome) -> Outcome:
    """Return the entries; of food that only the answer can judge with its verdict and in its words."""
    if not taken.own_drafts:
        return _with_advice(talk, outcome, taken) if taken.pending is not None else outcome
    items = judge_all(taken.readings, talk.site)
    if outcome.verdict is None or not all(item.judgement.reason in _UNJUDGED for item in items):
        return taken
    items = [replace(i, judgement=replace(i.judgement, verdict=outcome.verdict)) for i in items]
    rule = rule_text(outcome.answer.sources) if outcome.answer is not None else ""
    drafts = (draft.model_copy(update={"rule": rule}) for draft in drafts_for(items, talk.site))
    return replace(outcome, text=talk.rendered(outcome), own_drafts=tuple(drafts), readings=taken.readings)


def _options(talk: Conversation, heard: Heard, outcome: Outcome) -> tuple[tuple[Readings, ...], bool]:
    """Return the ways to read it, by its words or as of what was answered, and whether all is plain."""
    found = core.reports(heard.interpretation, talk.interpreter, lambda each: take.sensible(talk, each))
    now = talk.clock.now()
    for each in found[:1]:
        at = when(each.at, now)
        told = at.kind in ("now", "told") and not any(t.part == "ahead" for t in each.told)
        same = tuple(replace(reading, said_at=at.iso) for reading in each.options[0])
        return (same,) if told and len(each.options) == 1 else (), not each.loose
    for way in pieces.ways_told(talk, heard):
        numbers = whose.numbers_told(talk, heard, way, [])
        at = when(next((told for told in way if told.part == "at"), None), now)
        if numbers and at.kind in ("now", "told"):
            behind = {*heard.interpretation.heard.words[numbers[-1].end :]}
            plain = not behind & talk.interpreter.lexicon.list("prepositions")
            return tuple(_of_topics(talk, heard, outcome, numbers, at.iso)), plain
    return (), True


def _every(talk: Conversation, heard: Heard, outcome: Outcome) -> Readings:
    """Return each number that may have been read off of the food which an answer judged by one."""
    said = heard.interpretation.heard
    ways, others = pieces.ways_told(talk, heard), words_of_others(said)
    times = {i for way in ways[:1] for told in way for i in told.words}
    free = one_food.numbers_of_pieces(talk, said)
    numbers = [m for m in free if m.kind in READ and m.start not in times | others]
    return next(_of_topics(talk, heard, outcome, numbers, ""), ()) if numbers else ()


def _of_topics(
    talk: Conversation, heard: Heard, outcome: Outcome, numbers: list[Measure], said_at: str
) -> Iterator[Readings]:
    """Give what the numbers are of each thing that the answer may be about; several are of one food."""
    slots = outcome.request.slots if outcome.request is not None else Slots()
    words, told = heard.interpretation.heard.words, [m.value for m in numbers]
    numbers = [m for m in numbers if not is_count(m.value, told)]
    for topic in _topics(talk, heard, outcome.intent, slots, numbers[0].start):
        if len(numbers) > 1 and topic.kind != "food":
            continue
        _, measured = _OF_PLACES.get(outcome.intent, ((), ""))
        read = [fits.reading_of(talk, topic, " ".join(words[m.start : m.end])) for m in numbers]
        whole = tuple(
            replace(r, said_at=said_at, measured=measured or r.measured)
            for r in read
            if r is not None and (not measured or r.quantity == "temperature")
        )
        if len(whole) == len(numbers) and take.sensible(talk, whole):
            yield whole


def _topics(talk: Conversation, heard: Heard, intent: str, slots: Slots, at: int) -> list[Topic]:
    """Return the food, or the machines, that an answer may be about."""
    now, said = talk.clock.now(), heard.interpretation.heard
    if intent in _OF_FOOD:
        before = [m for m in mentioned(talk, heard, ()) if m.food and m.end <= at]
        name = whose.named_for(talk, said, before, at).can_be[0].name if len(before) > 1 else ""
        return [Topic("food", food, now) for food in slots.foods if food == name or not name][:1]
    kinds, _ = _OF_PLACES[intent]
    named = [p for p in lacking.told_in_short(talk, slots, "place").places if talk.site.kind_of(p) in kinds]
    spoken = [t.name for t in topics(talk) if t.kind == "equipment" and talk.site.kind_of(t.name) in kinds]
    every = [item.id for item in talk.site.places if item.kind in kinds]
    return [Topic("equipment", place, now) for place in named[:1] or spoken[:1] or every]
