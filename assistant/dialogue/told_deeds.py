"""Deeds told, one or several in a breath: each is logged, asked about, or given back in words.

What is only planned is not logged. What else the breath says (a reading) is taken as an utterance of its own.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from assistant.dialogue import (
    amounts_told,
    calibrations,
    contacts,
    cooling_progress,
    delivered,
    delivered_deeds,
    discards,
    fresh_buckets,
    moves,
    refusals,
)
from assistant.dialogue.answer import Answer
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.deeds_beside import (
    another_day,
    apart,
    at_time,
    but_for,
    joined,
    numbers_left,
    times_of_deeds,
    to_come,
    unkept,
    with_things,
)
from assistant.dialogue.deeds_meant import (
    MEANT,
    NOT_DONE,
    OF_DEEDS,
    OUT_OF_HERE,
    TALK,
    WASHED,
    lately,
    no_order,
    of_another,
    surely_out,
    told_here,
)
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.said_at import when
from assistant.dialogue.reports.times import Told
from assistant.dialogue.slots import Slots
from assistant.dialogue.topic import food_meant, named_before
from assistant.dialogue.which_place import where_put
from assistant.dialogue.withdrawing import withdraw
from assistant.logbook.entry import Draft
from intents.deed_amounts import Item
from intents.deed_marks import OF_BUCKETS, OF_FOOD, Kind, verbs_in
from intents.deeds import Breath, Deed, breath
from intents.dishes import may_be_dish
from intents.lexicon import Span
from intents.mentions import READ, Understanding
from intents.number_roles import words_of_others

TIME_OUT = "time_out"
_BEFORE_A_QUESTION: tuple[Kind, ...] = ("thrown", "refused")
_ASKED = 0.8
"""From this share on a question is asked behind what was done."""


def told(talk: Conversation, heard: Heard, timed: Collection[int] = ()) -> Breath:
    """Return the deeds that an utterance tells, with foods that only the net knows."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    if not verbs_in(read.words, lexicon):
        return Breath()  # so it is most often: nothing has to be looked up
    bucket, foods = bool(fresh_buckets.spoken_of(talk)), _foods_heard(talk, heard)
    return breath(read, lexicon, foods, where_put(talk, read), bucket=bucket, timed=timed)


def _foods_heard(talk: Conversation, heard: Heard) -> list[Span]:
    """Return the words that the net hears as a food and no table knows: "shallots", "trifle"."""
    roles, words = heard.interpretation.meaning.roles, heard.interpretation.heard.words
    small = talk.interpreter.lexicon.small()
    at = [i for i, role in enumerate(roles[: len(words)]) if role == "food" and words[i] not in small]
    ends = [i + 1 for i in at if i + 1 not in at]
    starts = [i for i in at if i - 1 not in at]
    spans = [Span("food", " ".join(words[a:b]), a, b) for a, b in zip(starts, ends, strict=True)]
    spans = [
        span for span in spans if not {*words[span.start : span.end]} <= talk.interpreter.place_words
    ]  # a bar
    found = [span for span in spans if may_be_dish(words[span.start : span.end], talk.language)]
    return found + [s for s in _ice(talk, heard) if s.start not in at]


def _ice(talk: Conversation, heard: Heard) -> list[Span]:
    """Return ice as the food that it is where it goes out: "ice is dumped", no "dumped it in the ice"."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    known, apart = lexicon.list("deed_foods"), lexicon.list("prepositions")
    alone = (s for s in read.concepts if s.value == "ice_bath" and read.words[s.start] in known)
    return [
        Span("food", read.words[s.start], s.start, s.end)
        for s in alone
        if s.end - s.start == 1 and not apart & {*read.words[max(0, s.start - 2) : s.start]}
    ]


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return what is done with an utterance that tells of deeds; ``None`` when it is no such utterance."""
    heard = _but_for_papers(talk, fresh_buckets.with_buckets(talk, heard))
    read = heard.interpretation
    found = told(talk, heard)
    first = delivered_deeds.sent_back(talk, heard, found) or delivered_deeds.put_away(talk, heard, found)
    first = first or _before_deeds(talk, heard)
    if first is not None or read.heard.asks:
        return _refused_too(talk, heard, found, first) if first is not None else None
    if (both := _then_asked(talk, heard, found)) is not None:
        return both
    rest = apart(talk, heard, found) if found.deeds else None
    words = rest.words if rest is not None else frozenset[int]()
    own = but_for(heard, words)
    times = times_of_deeds(talk, own, found.deeds, words)
    earlier = another_day(talk, own, found.deeds) is not None
    if earlier and not talk.addressed:
        return rest.outcome if rest is not None else Outcome(None, "", keep_context=True)
    found = told(talk, own, {*words, *(i for time in times.values() for i in time.words)})
    if not found.deeds:
        return amounts_told.goes_on(talk, heard)
    deeds = [_of_a_bucket(talk, _of_the_breath(talk, deed, read.heard)) for deed in found.deeds]
    now = talk.clock.now()
    deeds = [replace(d, planned=d.planned or to_come(times.get(d.start), now)) for d in deeds]
    if rest is not None:
        return _beside_readings(talk, own, found, deeds, times, rest.outcome)
    done = [deed for deed in deeds if not (deed.planned or deed.denied)]
    if not done:
        return _not_done(talk, heard, found)
    if not told_here(talk, heard, found) or any(deed.bare and not no_order(talk, deed) for deed in done):
        return None
    if any(deed.kind in OF_BUCKETS for deed in done) and of_another(heard):
        return None
    if any(deed.kind in OUT_OF_HERE and not surely_out(talk, heard, deed, found) for deed in done):
        named = [item for deed in done if deed.kind == "thrown" for item in deed.items if item.food]
        if not (earlier and len(named) >= len(done)):  # the day makes the net waver, not the words
            return None
    return _all_of(talk, heard, found, done, times)


def _refused_too(talk: Conversation, heard: Heard, found: Breath, first: Outcome) -> Outcome:
    """Keep what was refused beside an answer that logs nothing: "the reefer read fifty so I refused it"."""
    refused = [d for d in found.deeds if d.kind == "refused" and not (d.planned or d.denied)]
    if first.drafts or first.pending is not None or heard.interpretation.heard.asks:
        return first
    whole = [_of_the_breath(talk, deed, heard.interpretation.heard) for deed in refused]
    outcomes = [refusals.told(talk, heard, deed, came=True) for deed in whole]
    return joined(talk, heard, found, whole, outcomes, first) if any(outcomes) else first


def _then_asked(talk: Conversation, heard: Heard, found: Breath) -> Outcome | None:
    """Log what was done before a question: "it's going back, how long do I keep the other tags"."""
    words, asking = heard.interpretation.heard.words, talk.interpreter.lexicon.list("asking")
    done = [deed.end for deed in found.deeds if deed.kind in _BEFORE_A_QUESTION and not deed.planned]
    behind = range(max(done, default=len(words)), len(words))
    first = next((i for i in behind if words[i] in asking and not _tells_on(talk, heard, i)), 0)
    if not first or not talk.addressed:
        return None
    deed, question = (_part_of(talk, heard, part) for part in (words[:first], words[first:]))
    if question.interpretation.meaning.share_of("ask", "leave") < _ASKED:
        return None
    logged = report(talk, deed)
    if logged is None or not logged.drafts:
        return None
    used, said = frozenset(range(len(words))), talk.rendered(logged)
    question = _of_what_went(talk, question, {draft.item for draft in logged.drafts if draft.item})
    if question.interpretation.meaning.best.share < _ASKED:  # what it is about is not told: no rule of a pail
        left = talk.words("unused", words=f"'{' '.join(words[first:])}'")
        return replace(logged, text=f"{said} {left}", used=used)
    answered = talk.again(question)
    if answered.drafts or (answered.answer is None and answered.text is None):
        return None
    text = f"{said} {talk.rendered(answered)}"
    return replace(answered, own_drafts=logged.drafts, text=text, used=used)


def _tells_on(talk: Conversation, heard: Heard, at: int) -> bool:
    """True for a verb that goes on with what stands before it: "three cases are still good"."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    begins = at in read.breaks or read.words[at - 1] in lexicon.list("deed_joints")
    asks = {*read.words[at + 1 : at + 2]} & (lexicon.list("deed_articles") | lexicon.list("deed_doers"))
    return read.words[at] in lexicon.list("deed_clause") and not (begins or asks)


def _of_what_went(talk: Conversation, question: Heard, foods: set[str]) -> Heard:
    """Return "how long can I keep the rest" as asked of the food that the deed before was done to."""
    read = question.interpretation.heard
    if len(foods) != 1 or any(read.names.get(kind) for kind in ("food", "equipment")):
        return question
    return _part_of(talk, question, (*foods.pop().split(), *read.words))


def _but_for_papers(talk: Conversation, heard: Heard) -> Heard:
    """Return what was told of a refusal without the number of its invoice or lot."""
    read = heard.interpretation.heard
    papers = words_of_others(read, "thing")
    if not papers or all(deed.kind != "refused" for deed in told(talk, heard).deeds):
        return heard
    return talk.part(heard, [i for i in range(len(read.words)) if i not in papers])


def _part_of(talk: Conversation, heard: Heard, words: tuple[str, ...]) -> Heard:
    said = " ".join(words)
    return replace(heard, interpretation=talk.interpreter.interpret(said), text=said)


def _before_deeds(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return what is no deed, though its words sound like one: a driver's word, how a batch is doing."""
    first = delivered.report(talk, heard) or cooling_progress.asked(talk, heard)
    if first is not None or heard.interpretation.heard.asks:
        return refusals.with_part(talk, heard, first) if first is not None else None
    return (
        refusals.driver_gone(talk, heard) or refusals.part_told(talk, heard) or calibrations.told(talk, heard)
    )


def _beside_readings(
    talk: Conversation,
    heard: Heard,
    found: Breath,
    deeds: list[Deed],
    times: Mapping[int, Told],
    taken: Outcome | None,
) -> Outcome | None:
    """Return what was read (``taken``) with what was surely done beside it, if anything was."""
    deeds = [d for d in deeds if d.kind != "out" or surely_out(talk, heard, d, found)]
    unsure = any(d.planned or d.denied or (d.bare and not no_order(talk, d)) for d in deeds)
    if taken is None or not deeds or unsure or not (taken.readings or taken.pending):
        return taken
    foods = {reading.subject for reading in taken.readings if reading.subject_kind == "food"}
    if len(foods) == 1:  # "the egg salad's at eleven, bin the lot"
        of_it = [d.kind in OUT_OF_HERE or (d.kind in OF_FOOD and not d.everything) for d in deeds]
        deeds = [_of_food(d, *foods) if its else d for d, its in zip(deeds, of_it, strict=True)]
    places = tuple({reading.subject for reading in taken.readings if reading.subject_kind == "equipment"})
    deeds = [
        replace(d, places=places) if d.kind in OF_BUCKETS and d.it and len(places) == 1 else d for d in deeds
    ]
    return _all_of(talk, heard, found, deeds, times, taken)


def _all_of(
    talk: Conversation,
    heard: Heard,
    found: Breath,
    done: list[Deed],
    times: Mapping[int, Told],
    taken: Outcome | None = None,
) -> Outcome | None:
    """Return one outcome of the deeds done, with the times told and what was read beside them (``taken``)."""
    done = [replace(deed, kind="thrown") if deed.kind == "out" else deed for deed in done]
    at = [times.get(deed.start) for deed in done]
    each = (_one(talk, heard, deed, found, time) for deed, time in zip(done, at, strict=True))
    outcomes = [at_time(talk, heard, one, time) for one, time in zip(each, at, strict=True)]
    if not any(outcomes):
        return None
    whole = with_things(talk, heard, found, joined(talk, heard, found, done, outcomes, taken))
    for time in dict.fromkeys(at):
        whole = unkept(talk, heard, whole, time)
    return whole


def _of_a_bucket(talk: Conversation, deed: Deed) -> Deed:
    """Return "dumped bucket three" as emptied: it is no food, and nobody said that it was made anew."""
    of_food = any(item.food for item in deed.items)
    bucket = any(talk.site.kind_of(place) == "sanitizer_bucket" for place in deed.places)
    return (
        replace(deed, kind="emptied", items=()) if deed.kind == "thrown" and bucket and not of_food else deed
    )


def _of_the_breath(talk: Conversation, deed: Deed, read: Understanding) -> Deed:
    """Return a deed done to "it" as done to the one food of its breath: "didn't toss the ham, moved it"."""
    foods = {span.value for span in named_before(talk, read, deed.end)}
    if not deed.it or deed.everything or len(foods) != 1 or any(item.food for item in deed.items):
        return deed
    return _of_food(deed, foods.pop())


def _not_done(talk: Conversation, heard: Heard, found: Breath) -> Outcome | None:
    """Say that nothing is logged of deeds that are to come, or were not done."""
    meaning = heard.interpretation.meaning
    meant = meaning.best.intent in OF_DEEDS and meaning.best.share >= MEANT
    called = talk.addressed or meaning.talk < TALK
    if meaning.share_of("ask", "leave") > _ASKED:
        return None
    if not called:
        return None
    if (back := _taken_back(talk, heard, found)) is not None:
        return back
    numbers = (m for m in heard.interpretation.heard.free_measures if m.kind in READ)
    read = [m for m in numbers if m.start not in found.used]
    if not (meant or not found.left) or (read and all(deed.denied for deed in found.deeds)):
        return None  # "didn't send back the ham at fifty" tells its number
    return Outcome(Answer("planned"), NOT_DONE, keep_context=True)


def _taken_back(talk: Conversation, heard: Heard, found: Breath) -> Outcome | None:
    """Take back a discard that stands in the log: "I didn't throw the ham out after all"."""
    denied = [d for d in found.deeds if d.kind in OUT_OF_HERE and d.denied and not d.planned]
    denied = [_of_the_breath(talk, deed, heard.interpretation.heard) for deed in denied]
    foods = [
        item.food or food_meant(talk, heard.interpretation.heard)
        for d in denied
        for item in d.items or (Item(),)
    ]
    lines = [line for food in foods if food and (line := discards.lately_out(talk, food)) is not None]
    order = talk.interpreter.lexicon.list("deed_no_order") & {*heard.interpretation.heard.words}
    if not lines or order or not talk.addressed:
        return None
    return replace(withdraw(talk, lines), used=frozenset(range(len(heard.interpretation.heard.words))))


def _of_food(deed: Deed, food: str) -> Deed:
    return replace(
        deed, items=tuple(replace(item, food=item.food or food) for item in deed.items or (Item(),))
    )


def _not_logged(heard: Heard, found: Breath, outcome: Outcome) -> list[Deed]:
    """Return the deeds that an outcome which logs something else says nothing of."""
    asks = outcome.pending is not None and outcome.pending.kind == "confirm"
    if outcome.used or not (outcome.drafts or asks) or heard.interpretation.heard.asks:
        return []
    logged = {draft.kind for draft in outcome.drafts}
    done = (deed for deed in found.deeds if not (deed.planned or deed.denied or deed.bare))
    there = {draft.place for draft in outcome.drafts if draft.item}  # the reading tells where it is
    done = (d for d in done if d.kind != "moved" or not d.places or not {*d.places} <= there)
    answered = outcome.intent in (TIME_OUT, moves.DONE)
    return [d for d in done if not logged & set(_LOGGED_AS[d.kind]) or (answered and d.kind in OUT_OF_HERE)]


def lost(talk: Conversation, heard: Heard, outcome: Outcome) -> tuple[str, ...]:
    """Return the words of deeds and amounts that an outcome which logs something else says nothing of."""
    read, found = heard.interpretation.heard, told(talk, heard)
    missing = _not_logged(heard, found, outcome)
    words = [" ".join(read.words[deed.start : deed.end]) for deed in missing]
    if outcome.used or not any(draft.kind == "discard" for draft in outcome.drafts) or read.asks:
        return tuple(words)
    foods = {name for draft in outcome.drafts for name in (draft.item, draft.subject)}
    thrown = (deed for deed in found.deeds if deed.kind == "thrown" and deed not in missing)
    items = [i for deed in thrown for i in deed.items if i.amount and i.food and i.food not in foods]
    of_deeds = {i for deed in found.deeds for span in deed.spans for i in range(*span)}
    of_deeds -= {i for item in items for i in item.words}
    named = (s.value for s in read.names.get("food", ()) if s.start in of_deeds and s.value not in foods)
    return (*words, *(f"{item.amount} {item.food}" for item in items), *dict.fromkeys(named))


_LOGGED_AS: dict[Kind, tuple[str, ...]] = {
    "thrown": ("discard", "correction", "event"), "out": ("discard", "correction", "event"),
    "moved": ("event", "clock", "contact"),
    "washed": ("event",), "gloved": ("event", "contact"), "remade": ("clock", "event", "reading"),
    "emptied": ("clock", "event", "reading"), "refused": ("event", "discard"),
}  # fmt: skip
"""Kinds of entries that keep a deed."""


def _one(
    talk: Conversation, heard: Heard, deed: Deed, found: Breath, time: Told | None = None
) -> Outcome | None:
    if deed.kind == "thrown":
        noted = time is not None and time.part == "at" and another_day(talk, heard, [deed]) is not None
        return discards.told(talk, heard, deed, alone=len(found.deeds) == 1 and not noted)
    if deed.kind == "moved":
        return moves.told_moved(talk, heard, deed)
    if deed.kind == "refused":
        return refusals.told(talk, heard, deed)
    if deed.kind == "remade":
        alone, told_at = set(found.left) <= numbers_left(heard, found), when(time, talk.clock.now())
        said_at = told_at.iso if time is not None and lately(talk, time, told_at) else ""
        return fresh_buckets.told(talk, heard, deed, alone=alone, said_at=said_at)
    if deed.kind == "emptied":
        return fresh_buckets.emptied(talk, heard, deed)
    if deed.kind == "gloved" and len(found.deeds) == 1 and not found.left:
        return talk.ask(talk.request(contacts.DONE, Slots.of(heard.interpretation.heard)))
    if deed.kind == "gloved":
        draft = Draft(kind="event", subject="gloves", note="changed")
        return Outcome(Answer("gloves", drafts=(draft,)), WASHED)
    return talk.ask(talk.request(WASHED, Slots()))
