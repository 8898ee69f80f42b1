"""Deeds told, one or several in a breath: each is logged, asked about, or given back in words.

What is only planned is not logged. What else the breath says (a reading) is taken as an utterance of its own.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

from assistant.dialogue import batches, calibrations, discards, fresh_buckets, moves, refusals
from assistant.dialogue.answer import Answer
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports import take, whose
from assistant.dialogue.reports.deeds import told_at
from assistant.dialogue.reports.said_at import When, stamped
from assistant.dialogue.reports.times import Told
from assistant.dialogue.slots import RELATIONS, Slots
from assistant.dialogue.which_place import where_put
from assistant.logbook.entry import Draft
from intents.deed_amounts import Item
from intents.deed_marks import OF_BUCKETS, Kind
from intents.deeds import Breath, Deed, breath
from intents.meaning import NONE
from intents.mentions import Understanding
from intents.words import tokenise

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

NOT_DONE, WASHED, DISCARD = "not_done", "hand_washed", "discard"
OF_DEEDS = frozenset({"discard", "action_done", WASHED, "clock_bucket", NOT_DONE, "receive_check"})
"""Intents of sentences that tell of a deed."""
STORAGE = frozenset({"storage", "dangers"})
"""Topics of what may not stand where it is."""
_MEANT, _SURELY, _TALK, _ASKED = 0.4, 0.6, 0.15, 0.9
"""Shares from which on a deed was told here, also where nobody called, and most of talk (judgement)."""
THIS_SHIFT = timedelta(hours=6)
"""A time of day without "am" or a word longer ago was not meant (judgement)."""
OUT = 0.5
"""From this share of a discard on, food was thrown out, whatever the words tell of it."""
SURE_OF_ANOTHER = 0.9
"""A share of another intent that makes no deed of what only is somewhere."""


def told(talk: Conversation, heard: Heard) -> Breath:
    """Return the deeds that an utterance tells, with foods that only the net knows."""
    read = heard.interpretation
    return breath(read.heard, talk.interpreter.lexicon, (), where_put(talk, read.heard))


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return what is done with an utterance that tells of deeds; ``None`` when it is no such utterance."""
    read = heard.interpretation
    if not read.heard.words or read.heard.asks:
        return None
    if (came := refusals.driver_gone(talk, heard)) is not None:
        return came
    if (checked := calibrations.told(talk, heard)) is not None:
        return checked
    found = told(talk, heard)
    if read.readings.options and not fresh_buckets.unnumbered(talk, heard, found.deeds):
        return _beside_readings(talk, heard, found)
    done = [deed for deed in found.deeds if not (deed.planned or deed.denied)]
    if found.deeds and not done:
        return _not_done(talk, heard, found)
    if len(done) < len(found.deeds) and read.meaning.share_of("ask", "leave") > _MEANT:
        return None
    if not done or not _told_here(talk, heard, found):
        return None
    if any(deed.bare and not _no_order(talk, deed) for deed in done):
        return None
    done = [_of_a_bucket(talk, _of_the_breath(deed, read.heard)) for deed in done]
    if any(deed.kind == "thrown" and not _surely_out(talk, heard, deed) for deed in done):
        return None
    gone = {item.food for deed in done if deed.kind == "thrown" for item in deed.items}
    done = [_without(deed, gone) if deed.kind == "moved" else deed for deed in done]
    time = told_at(talk, heard, ("at",), counting=True)
    told_time = time is not None and _lately(talk, *time)
    if time is not None and told_time:
        found = replace(found, used=found.used | set(time[0].words))
        done = [_but_for(deed, time[0].words) for deed in done]
    outcomes = [_one(talk, heard, deed, found) for deed in done]
    if (rest := _of_batch(talk, heard, found)) is not None:
        outcomes = [_without_amount(each, rest) if each is not None else None for each in outcomes]
    else:
        rest = _rest(talk, heard, found)
    if not any(outcomes) or (rest is None and _of_a_number(done) and _numbers_left(heard, found)):
        return None
    joined = _joined(talk, heard, found, done, outcomes, rest)
    return stamped(joined, time[1].iso, talk.clock.now()) if time is not None and told_time else joined


def _lately(talk: Conversation, told: Told, found: When) -> bool:
    """True for a time of this shift: "at three thirty" at three is no half past three in the night."""
    if found.kind != "told" or not found.iso or found.at is None:
        return False
    return not told.bare or talk.clock.now() - found.at <= THIS_SHIFT


def _but_for(deed: Deed, words: range) -> Deed:
    """Return a deed without the words of its time: a number is used once, as a time or as a reading."""
    spans: list[tuple[int, int]] = []
    for start, end in deed.spans:
        spans += [(start, min(end, words.start)), (max(start, words.stop), end)]
    return replace(deed, spans=tuple((a, b) for a, b in spans if a < b))


def _surely_out(talk: Conversation, heard: Heard, deed: Deed) -> bool:
    """True where the net hears food thrown out, or it is sure of nothing else and food and amount are told,
    or food that is to go.

    "Tossed the wings in sauce" is cooking, "threw the gloves out" and "dumped the bucket" are no food.
    """
    meaning = heard.interpretation.meaning
    share = max((guess.share for guess in meaning.guesses if guess.intent == DISCARD), default=0.0)
    if share >= OUT:
        return True
    other = meaning.best.intent not in OF_DEEDS and meaning.best.share >= _SURELY
    foods = [item for item in deed.items if item.food]
    if any(discards.action(talk, item.food) for item in foods) and meaning.best.intent == NONE:
        return True
    return not other and any(item.amount or discards.action(talk, item.food) for item in foods)


def _of_a_bucket(talk: Conversation, deed: Deed) -> Deed:
    """Return "dumped bucket three" as emptied: it is no food, and nobody said that it was made anew."""
    of_food = any(item.food for item in deed.items)
    bucket = any(talk.site.kind_of(place) == "sanitizer_bucket" for place in deed.places)
    return (
        replace(deed, kind="emptied", items=()) if deed.kind == "thrown" and bucket and not of_food else deed
    )


def _of_the_breath(deed: Deed, read: Understanding) -> Deed:
    """Return a deed done to "it" as done to the one food of its breath: "didn't toss the ham, moved it"."""
    foods = {span.value for span in read.names.get("food", ())}
    if not deed.it or deed.everything or len(foods) != 1 or any(item.food for item in deed.items):
        return deed
    named = foods.pop()
    return replace(deed, items=tuple(replace(item, food=named) for item in deed.items or (Item(),)))


def of_batch(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return what is done with a cooling batch's number before its move, which is none of the place's."""
    found = told(talk, heard)
    if len(found.deeds) != 1 or heard.interpretation.readings.options:
        return None
    batch = _of_batch(talk, heard, found)
    return (report(talk, heard) or batch) if batch is not None else None


def _beside_readings(talk: Conversation, heard: Heard, found: Breath) -> Outcome | None:
    """Return the readings of a breath with what was moved, thrown out or washed beside them."""
    deeds = [deed for deed in found.deeds if deed.kind not in OF_BUCKETS]
    if not deeds or any(deed.planned or deed.denied or deed.bare for deed in deeds):
        return None
    taken = take.report(talk, heard)
    if taken is None or not taken.readings:
        return None
    outcomes = [_one(talk, heard, deed, found) for deed in deeds]
    return _joined(talk, heard, found, deeds, outcomes, taken) if all(outcomes) else None


def _not_done(talk: Conversation, heard: Heard, found: Breath) -> Outcome | None:
    """Say that nothing is logged of deeds that are to come, or were not done."""
    meaning = heard.interpretation.meaning
    meant = meaning.best.intent in OF_DEEDS and meaning.best.share >= _MEANT
    called = talk.addressed or heard.typed or meaning.share_of("talk") < _TALK
    if not called or not (meant or not found.left):
        return None
    return Outcome(Answer("planned"), NOT_DONE, keep_context=True)


def _without(deed: Deed, gone: set[str]) -> Deed:
    """Return a move without the foods that the same breath throws out."""
    return replace(deed, items=tuple(item for item in deed.items if item.food not in gone))


def _of_a_number(done: list[Deed]) -> bool:
    """True for "twenty point five, gone in the cold room": what moved is known by its number only."""
    named = any(item.food for deed in done for item in deed.items) or any(deed.everything for deed in done)
    return not named and all(deed.kind == "moved" for deed in done)


def _told_here(talk: Conversation, heard: Heard, found: Breath) -> bool:
    """True where the deeds were told to the assistant: by its net, or in words that say nothing else."""
    meaning, words = heard.interpretation.meaning, heard.interpretation.heard.words
    orders = talk.interpreter.lexicon.list("deed_either")
    named = {i for s in heard.interpretation.heard.names.get("person", ()) for i in range(s.start, s.end)}
    first = next((i for i in range(len(words)) if i not in named), 0)
    if words[first] in orders and (named or not (talk.addressed or heard.typed)):
        return False  # "Rosa, put the chicken in the walk-in"
    share = max((g.share for g in meaning.guesses if g.intent in OF_DEEDS), default=0.0)
    if not (talk.addressed or heard.typed or talk.state.pending is not None):
        return share >= _SURELY and meaning.share_of("talk") < _TALK
    if any(_stands_wrongly(talk, heard, deed) for deed in found.deeds):
        return False
    if any(item.food and item.amount for deed in found.deeds for item in deed.items):
        return True
    asked = meaning.share_of("ask", "leave")
    if len(found.deeds) == 1 and (asked > _ASKED or (asked > _MEANT and found.left)):
        return False
    told_of = share >= _MEANT or meaning.share_of("tell", "command") > 0.5
    return not found.left or told_of or len(found.deeds) > 1


def _stands_wrongly(talk: Conversation, heard: Heard, deed: Deed) -> bool:
    """True for "the raw chicken is on the top shelf": where it may stand is answered first.

    "It's on the line, four hours from now" starts a clock: what only is somewhere was put there by nobody.
    """
    words, best = heard.interpretation.heard.words, heard.interpretation.meaning.best
    if " ".join(words[deed.start : deed.end]) not in talk.interpreter.lexicon.list("deed_states"):
        return False
    if best.share >= SURE_OF_ANOTHER and best.intent not in OF_DEEDS and best.intent in talk.base_catalogue:
        return True
    read, shelves = heard.interpretation.heard, talk.interpreter.lexicon.list("deed_shelves")
    if not (read.has(*RELATIONS) or set(words) & shelves):
        return False
    known = best.intent in talk.base_catalogue and best.share >= _MEANT
    return known and talk.base_catalogue[best.intent].topic in STORAGE


def lost(talk: Conversation, heard: Heard, outcome: Outcome) -> tuple[str, ...]:
    """Return the words of deeds that an outcome which logs something else says nothing of."""
    if outcome.used or not outcome.drafts or heard.interpretation.heard.asks:
        return ()
    read, logged = heard.interpretation.heard, {draft.kind for draft in outcome.drafts}
    foods = {name for draft in outcome.drafts for name in (draft.item, draft.subject)}
    words: list[str] = []
    for deed in told(talk, heard).deeds:
        if deed.planned or deed.denied or deed.bare or logged & set(_LOGGED_AS[deed.kind]):
            missing = [i for i in deed.items if deed.kind == "thrown" and i.amount and i.food not in foods]
            words += [
                f"{item.amount} {item.food}".strip() for item in missing if "discard" in logged and item.food
            ]
            continue
        words.append(" ".join(read.words[deed.start : deed.end]))
    return tuple(words)


_LOGGED_AS: dict[Kind, tuple[str, ...]] = {
    "thrown": ("discard", "correction", "event"), "moved": ("event", "clock", "contact"),
    "washed": ("event",), "gloved": ("event", "contact"), "remade": ("clock", "event", "reading"),
    "emptied": ("clock", "event", "reading"), "refused": ("event", "discard"),
}  # fmt: skip
"""Kinds of entries that keep a deed."""


def _no_order(talk: Conversation, deed: Deed) -> bool:
    """True for "bin the stew, two and a half kilos" where that food is to go: done, and no order."""
    foods = [item.food for item in deed.items]
    return deed.kind == "thrown" and any(discards.action(talk, food) for food in foods if food)


def _one(talk: Conversation, heard: Heard, deed: Deed, found: Breath) -> Outcome | None:
    if deed.kind == "thrown":
        return discards.told(talk, heard, deed, alone=len(found.deeds) == 1)
    if deed.kind == "moved":
        return moves.told(talk, heard, deed)
    if deed.kind == "refused":
        return refusals.told(talk, heard, deed)
    if deed.kind == "remade":
        return fresh_buckets.told(talk, heard, deed)
    if deed.kind == "emptied":
        return fresh_buckets.emptied(talk, heard, deed)
    if deed.kind == "gloved":  # alone it is asked about: what was touched before?
        draft = Draft(kind="event", subject="gloves", note="changed")
        return Outcome(Answer("gloves", drafts=(draft,)), WASHED) if len(found.deeds) > 1 else None
    return talk.ask(talk.request(WASHED, Slots()))


def _joined(
    talk: Conversation,
    heard: Heard,
    found: Breath,
    done: list[Deed],
    outcomes: list[Outcome | None],
    rest: Outcome | None,
) -> Outcome:
    """Return one outcome of all deeds, of what else was said, and of what could not be used."""
    whole = [each for each in outcomes if each is not None]
    if rest is not None:
        whole.insert(0, rest)
    words = heard.interpretation.heard.words
    lost = [deed for deed, each in zip(done, outcomes, strict=True) if each is None]
    texts = [each.text if each.text is not None else talk.rendered(each) for each in whole]
    if lost:
        named = ", ".join(f"'{' '.join(words[d.spans[0][0] : d.spans[-1][1]])}'" for d in lost)
        texts.append(talk.words("unused", words=named))
    asking = next((each for each in whole if each.pending is not None), None)
    first = asking or whole[0]
    sources = tuple(s for each in whole if each.answer is not None for s in each.answer.sources)
    answer = replace(first.answer, drafts=(), sources=sources) if first.answer is not None else None
    verdicts = [each.verdict for each in whole if each.verdict is not None]
    return replace(
        first,
        answer=answer,
        text=" ".join(text for text in texts if text),
        own_drafts=tuple(draft for each in whole for draft in each.drafts),
        pending=asking.pending if asking is not None else None,
        readings=tuple(r for each in whole for r in each.readings),
        reading_ids=tuple(i for each in whole for i in each.reading_ids),
        own_verdict=verdicts[0] if verdicts else None,
        used=frozenset(found.used | _verbs(found)),
    )


def _verbs(found: Breath) -> set[int]:
    return {i for deed in found.deeds for i in range(deed.start, deed.end)}


def _of_batch(talk: Conversation, heard: Heard, found: Breath) -> Outcome | None:
    """Return the reading of a cooling batch before its move: "twenty point five, gone in the cold room".

    The number is no count of what was moved, and none of the place where it went.
    """
    deed, words = found.deeds[0], heard.interpretation.heard.words
    if len(found.deeds) > 1 or deed.kind != "moved" or any(item.measured for item in deed.items):
        return None
    if not batches.cooling(talk, talk.clock.now()):
        return None
    told = talk.interpreter.interpret(" ".join(words[: deed.start]))
    spoken = replace(heard, interpretation=replace(told, meaning=heard.interpretation.meaning))
    readings = told.readings.certain
    if len(readings) == 1 and readings[0].subject_kind == "food":
        cools = batches.cooling(talk, talk.clock.now(), readings[0].subject)
        return take.report(talk, spoken) if cools else None
    return None if told.readings.options else whose.report(talk, spoken, batches_only=True)


def _without_amount(moved: Outcome, batch: Outcome) -> Outcome:
    """Return a move without the number that was read, of the food that it was read of."""
    food = batch.readings[0].subject if batch.readings else ""
    change = {"amount": "", **({"subject": food, "item": food} if food else {})}
    own = tuple(d.model_copy(update=change) if d.kind == "event" else d for d in moved.own_drafts)
    answer = moved.answer
    if answer is not None:
        drafts = tuple(d.model_copy(update=change) if d.kind == "event" else d for d in answer.drafts)
        values = {**answer.values, **({"food": food} if food and "food" in answer.values else {})}
        answer = replace(answer, drafts=drafts, values=values)
    return replace(moved, own_drafts=own, answer=answer)


def _rest(talk: Conversation, heard: Heard, found: Breath) -> Outcome | None:
    """Return the reading told besides the deeds, of the place that something went to if none is said."""
    read = heard.interpretation.heard
    numbers = _numbers_left(heard, found)
    if not numbers:
        return None
    gone = found.used | _verbs(found)
    for name in (set(range(s.start, s.end)) for s in read.names.get("equipment", ())):
        gone -= name if not name <= gone else set()  # a "prep cooler" cut to "cooler" is another place
    words = tuple(word for i, word in enumerate(read.words) if i not in gone)
    lexicon, first = talk.interpreter.lexicon, found.deeds[0].start
    small = lexicon.list("deed_joints") | lexicon.filler
    while first and read.words[first - 1] in small:
        first -= 1
    before_it = [read.words[:first]] if max(numbers) < first else []  # "chicken one sixty five and moved it"
    ways = [words, *before_it]
    to = [deed.places[-1] for deed in found.deeds if deed.kind == "moved" and len(deed.places) == 1]
    before = set(read.words[max(0, min(numbers) - 2) : min(numbers)])
    if to and before & talk.interpreter.lexicon.list(
        "deed_it"
    ):  # "everything's in trolley two and it's at sixty six"
        value = tuple(read.words[i] for i in sorted(numbers))
        ways.append((*tokenise(talk.site.spoken_name(to[-1])), *value))
    for way in ways:
        core = talk.interpreter.readings_of(way)
        if core.readings.options:
            core = replace(core, meaning=heard.interpretation.meaning)
            return take.report(talk, replace(heard, interpretation=core))
    return None


def _numbers_left(heard: Heard, found: Breath) -> set[int]:
    read = heard.interpretation.heard
    measures = [m for m in read.free_measures if m.start not in found.used]
    return {i for m in measures for i in range(m.start, m.end)} & set(found.left)
