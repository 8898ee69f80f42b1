"""What is clear of a breath that nothing reads whole: each place or food that has a number of its own.

"So banquet one thirty eight, two thirty seven, and the carvery's at one forty, gotta go", "walk-in's thirty
five and the drawers, I can't see". What is clear is read back at once, and logged only after a yes; a number
said anew counts as said last; a place that has no number, and a number that has no place, is named.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from assistant.dialogue import implied, recording, round_talk, which_place
from assistant.dialogue.answer import Answer, capital
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports import ledger, take, whole
from assistant.dialogue.reports.counted import is_count
from assistant.dialogue.reports.fits import reading_of
from assistant.dialogue.reports.names_told import plurals
from assistant.dialogue.reports.one_food import of_one_food
from assistant.dialogue.reports.place_marks import marks
from assistant.dialogue.reports.read_off import Breath, Pair
from assistant.dialogue.reports.said_at import when
from assistant.dialogue.reports.shared_out import family
from assistant.dialogue.reports.time_of import of_another_clause, times_of
from assistant.dialogue.reports.times import BEFORE_A_TIME, Way
from assistant.dialogue.reports.whose import tells_otherwise, times_told
from assistant.dialogue.statements import asks
from assistant.dialogue.topic import topics
from intents.mentions import Understanding
from intents.not_measured import not_measured
from intents.number_roles import may_differ, words_of_others
from intents.quantities import Clock, Span
from intents.readings import Reading
from intents.short_names import ORDER

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_NOT_OURS = ("receive_check",)
_READ = frozenset({"reading", "action_opened"})
"""Kinds of entries that a breath of readings makes, and no deed."""
_TOLD = 0.8
"""From this share of telling on a word of asking belongs to a story: "lemme tell you what happened"."""
_TWO = 2
_MEANT, _SURELY, _PERHAPS = 0.5, 0.9, 0.2
"""From these shares on the net has heard another report, and a reading in what is talk (judgement)."""


def report(
    talk: Conversation, heard: Heard, *, timed: bool = False, another: bool = False, asked: bool = False
) -> Outcome | None:
    """Read back what is clear; ``None`` where nothing is, or where the words tell no reading at all.

    ``timed``: a time was told, so what may be one is. ``another``: the words tell something else, too, and
    what they name has no number to wait for. ``asked``: a question stands behind it, so nothing is logged
    without a yes.
    """
    found = _clearest(talk, heard, timed=timed)
    if (found is None or found[0].lost) and (each := of_one_food(talk, heard)):
        return recording.confirm(talk, each)
    if found is None:
        return None
    told = another or (take.told_share(heard) >= _TOLD and talk.state.pending is None)
    if (
        told
        and not asked
        and _plain(found[0])
        and (_alone(talk, heard, found[0]) or _beside_only(talk, heard, found[0]))
    ):
        return recording.take(talk, found[1], heard.read_as(found[1]))
    return recording.confirm(talk, found[1]) if another else _read_back(talk, heard, *found)


def _plain(found: Breath) -> bool:
    """True where each place and food has its own number, told as its own, and nothing is left."""
    return not (
        found.lost or found.unnumbered or found.numbered or found.several or found.runs_on or found.same
    )


def _alone(talk: Conversation, heard: Heard, found: Breath) -> bool:
    """True where nothing is told but names, what was measured, their numbers, and small words."""
    words, lexicon = heard.interpretation.heard.words, talk.interpreter.lexicon
    small = lexicon.small("read_at", "hesitating", "openers", "deed_articles")
    return all(i in found.words or word in small for i, word in enumerate(words))


def _beside_only(talk: Conversation, heard: Heard, found: Breath) -> bool:
    """True where what else is told, beside numbers of places in full, is no doubt and no question."""
    said, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    doubts = lexicon.small("gauges", "points_other", "or_that", "was_before", "wished", "by_others")
    if {word for i, word in enumerate(said.words) if i not in found.words} & doubts:
        return False
    if any({*range(each.start, each.end)} - found.words for each in said.quantities):
        return False  # a time or a number of something else
    names = [span.value for kind in ("equipment", "food") for span in said.names.get(kind, ())]
    told = [pair.place or pair.topic.name for pair in found.pairs] + [pair.topic.name for pair in found.pairs]
    hedged = said.has("note_unsure") or any(quantity.about for quantity in said.quantities)
    foods = any(pair.topic.kind == "food" and not (pair.place or pair.topic.batch) for pair in found.pairs)
    hedged = hedged or may_differ(said)
    if hedged or foods or asks(said) or {*names} != {*told}:
        return False
    back = lexicon.list("takes_back") - lexicon.links - lexicon.list("of_remarks")
    clauses = pairwise(sorted({0, *said.breaks, len(said.words)}))
    kept = {i for one in clauses if found.words & {*range(*one)} for i in range(*one)}
    its_own = talk.interpreter.interpret(said.part(kept))
    own = replace(heard, interpretation=its_own, text=its_own.heard.text)
    return not ({*said.words} & back or tells_otherwise(talk, own))


def more(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return what is clear of a breath where that is more than was made of it, and nothing of it is left.

    What tells a deed besides, or asks for something else, stands as it is.
    """
    waiting = outcome.pending
    kinds = {draft.kind for draft in outcome.drafts}
    others = waiting is not None and waiting.kind not in ("confirm", "choose", "slot")
    if others or not kinds <= _READ or outcome.used or heard.interpretation.meaning.act != "tell":
        return outcome
    if heard.interpretation.meaning.best.intent not in take.READS:
        return outcome
    if _twice(outcome):
        found = _clearest(talk, heard)
        again = Outcome(Answer("say_again"), recording.READING, readings=outcome.readings)
        return _read_back(talk, heard, *found) if found is not None else again
    if (open_ := _with_unnumbered(talk, heard, outcome)) is not None:
        return open_
    if len(heard.interpretation.heard.free_measures) <= 1:
        return outcome
    chosen = waiting is not None and waiting.kind == "choose"
    said = heard.interpretation.heard
    across = said.breaks  # "one fifty, two is one forty"
    torn = any(across & {*range(m.start + 1, m.end)} for m in said.free_measures)
    if outcome.drafts and (chosen or not (torn or ledger.unused(talk, heard, outcome))):
        return outcome
    told = sum(draft.kind == "reading" for draft in outcome.drafts)
    told += len(waiting.readings) if waiting is not None and not chosen else 0
    found = _clearest(talk, heard)
    if found is None or len(found[1]) <= told or found[0].lost:
        return outcome
    if len({pair.number.start for pair in found[0].pairs}) == 1:
        return outcome  # "all three at thirty seven": each has its own
    return _read_back(talk, heard, *found)


def _twice(outcome: Outcome) -> bool:
    """True where a place has two numbers of one measure at one time: one of them is another's."""
    drafts = [d for d in outcome.drafts if d.kind == "reading" and not d.item]
    of = [(d.subject, d.measured, d.unit, d.said_at) for d in drafts]
    return len({*of}) < len(of)


def _with_unnumbered(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome | None:
    """Read back the same with what waits for its number: "main cooler thirty eight, larder"."""
    waiting = outcome.pending
    if outcome.drafts or waiting is None or waiting.kind != "confirm" or waiting.unnumbered:
        return None
    found = _clearest(talk, heard)
    if found is None or not found[0].unnumbered or {*found[1]} != {*waiting.readings}:
        return None
    return _read_back(talk, heard, *found)


def with_same(talk: Conversation, heard: Heard) -> Outcome | None:
    """Read back "bucket one two hundred, two the same", of which a grammar reads less or another number."""
    read = heard.interpretation
    if not talk.interpreter.lexicon.says(read.heard.words, "same_as_before"):
        return None
    best = read.meaning.best
    if not read.heard.free_measures and best.intent not in take.READS and best.share >= _SURELY:
        return None  # "scallops went back, same driver"
    found = _clearest(talk, heard)
    known = max((len(option) for option in read.readings.options), default=0)
    shared = found is not None and len({pair.number.start for pair in found[0].pairs}) < len(found[1])
    if found is None or not (found[0].same or shared) or len(found[1]) <= known:
        return None
    return _read_back(talk, heard, *found)


def plainly(talk: Conversation, heard: Heard) -> tuple[Heard, Outcome] | None:
    """Take numbers of places told by their numbers alone, or of several at once, where nothing else is said.

    One number of more than two is asked for place by place; places that nobody spoke of are read back.
    """
    read = heard.interpretation
    if read.asked or not read.heard.measures or read.meaning.act == "talk":
        return None
    if read.readings.options and not talk.interpreter.lexicon.says(read.heard.words, "plural_each"):
        return None
    found = _clearest(talk, heard)
    if found is None or found[0].lost or found[0].unnumbered:
        return None
    breath, readings = found
    if breath.runs_on or not (breath.numbered or breath.several):
        return None
    words, lexicon = read.heard.words, talk.interpreter.lexicon
    small = lexicon.small("read_at", "list_joins", "deed_articles", "prepositions", "number_word")
    each = {word for phrase in lexicon.list("plural_each") for word in phrase.split()}
    told = {i for way in ways_told(talk, heard)[:1] for t in way for i in t.words} | breath.words
    told |= {i for i in range(1, len(words)) if words[i - 1] in each}  # "all three"
    if any(i not in told and word not in small | each for i, word in enumerate(words)):
        return None
    starts = [pair.number.start for pair in breath.pairs]
    every = len(starts) > _TWO and (each - lexicon.list("both")) & {*words}  # "all three"
    if len({*starts}) == 1 and (breath.listed or every):
        return heard.read_as(readings), recording.confirm(talk, readings)
    if len({*starts}) == 1 and len(starts) > _TWO:
        return heard, which_place.which_ones()
    states = lexicon.list("read_at") - lexicon.list("prepositions")
    led = {mark.end for mark in marks(talk, read.heard)} | {
        i for i, word in enumerate(words) if word in states
    }
    if not {*breath.numbered.values()} <= led:
        return None  # "two fifty" may be one number
    if len({*starts}) < len(starts) and not (breath.listed or each & {*words}):
        return None
    spoken = {family(("equipment", topic.name, 0)) for topic in topics(talk)}
    here = round_talk.running(talk)
    spoken |= {family(("equipment", place, 0)) for place in (here.left if here is not None else ())}
    full = heard.read_as(readings)
    spoken |= {family(("equipment", r.subject, 0)) for r in readings if r.subject not in breath.numbered}
    shared = len(readings) > 1 and any(reading.said_at for reading in readings)
    shared = shared or (len({*starts}) < len(starts) and not each & {*words})
    if shared or any(family(("equipment", place, 0)) not in spoken for place in breath.numbered):
        return full, recording.confirm(talk, readings)
    return full, recording.report(talk, round_talk.refined(talk, full))


def _clearest(
    talk: Conversation, heard: Heard, *, timed: bool = False
) -> tuple[Breath, tuple[Reading, ...]] | None:
    """Return the way to hear a breath that pairs most, with its readings; ``None`` where nothing was read."""
    read, meaning = heard.interpretation.heard, heard.interpretation.meaning
    another = meaning.best.intent in _NOT_OURS and meaning.best.share >= _MEANT
    driven = {*read.words} & talk.interpreter.lexicon.list("delivery_cars")  # "freezer truck, fries at ten"
    tells = min(take.told_share(heard), meaning.share_of("tell", "answer") * 2)
    aside = meaning.act == "talk" and tells < _PERHAPS
    if not talk.addressed or read.asks or another or driven or aside:
        return None
    lexicon = talk.interpreter.lexicon
    if read.has("scratch") or any(
        lexicon.says(read.words, each) for each in ("never_measured", "unmeasured")
    ):
        return None
    if lexicon.says(read.words, "told_of_past"):
        return None
    found = []
    for way in ways_told(talk, heard):
        if timed and not any(told.part == "at" for told in way):
            continue
        if (each := whole.matched_whole(talk, heard, way)) is None:
            continue
        each = _without_others(read, each)
        readings = with_times(talk, read, way, each)
        wrong = any(implied.of_another_chemical(talk, read, r.subject) for r in readings)
        wrong = wrong or (len(readings) > 1 and _twice(recording.log(talk, readings)))
        if readings and not wrong:
            found.append((each, readings))
    if not found:
        return None
    best, readings = max(found, key=_whole_and_timed)
    told = talk.interpreter.readings_of(read.said(range(max(p.number.end for p in best.pairs)))).heard
    same = all(pair.number.same for pair in best.pairs)
    supposed = asks(told) and meaning.share_of("tell") < _TOLD and not same
    if supposed or not_measured(told, talk.interpreter.lexicon) or _ordered(talk, told):
        return None
    return best, readings


def _without_others(read: Understanding, found: Breath) -> Breath:
    """Return a breath without numbers of a food that has others, and that are likelier a time or a count.

    "Seventy one, seventy and seventy two, all three good"; "sixty at eleven"; none after "since".
    """
    marked = {q.start: q.marker for q in read.quantities if q.marker in BEFORE_A_TIME and q.first(Clock)}
    named = {i for span in read.names.get("equipment", ()) for i in range(span.start, span.end)}
    named = named if words_of_others(read, "difference") else set()  # "freezer one is ten warmer"
    kept, lost = list[Pair](), list[tuple[int, int]]()
    for pair in found.pairs:
        value, at = pair.reading.value, pair.number.start
        others = [p.reading.value for p in found.pairs if p.topic == pair.topic and p is not pair]
        if marked.get(at) == "since" or at in named:
            continue
        if pair.topic.kind == "food" and others and (at in marked or is_count(value, others)):
            lost += [(at, pair.number.end)] * (value != len(others))
        else:
            kept.append(pair)
    return replace(found, pairs=kept, lost=[*found.lost, *lost])


def _whole_and_timed(found: tuple[Breath, tuple[Reading, ...]]) -> tuple[int, int, int, int]:
    """Rank a way to hear a breath: most readings, least left over, a time kept sooner than passed over."""
    breath, readings = found
    return len(readings), -len(breath.lost), -len(breath.unnumbered), sum(bool(r.said_at) for r in readings)


def ways_told(talk: Conversation, heard: Heard) -> tuple[Way, ...]:
    """Return the ways to hear the times that were told: "the first" is no date, "in an hour" not ahead."""
    words = heard.interpretation.heard.words
    rows = {i for start, end, *_ in plurals(talk, words) for i in range(start, end)}
    rows |= {
        i for i, word in enumerate(words) for name in ORDER if word in talk.interpreter.lexicon.list(name)
    }
    was = talk.interpreter.lexicon.list("told_before") & {*words}  # "went from ... in an hour"
    gone = ("span", "ahead") if was else ()
    ways = (
        tuple(t for t in way if not (rows & {*t.words} or (t.part in gone and isinstance(t.meaning, Span))))
        for way in times_told(talk, heard)
    )
    return tuple(dict.fromkeys(ways))


def _read_back(talk: Conversation, heard: Heard, best: Breath, readings: tuple[Reading, ...]) -> Outcome:
    """Read back what is clear, with what has no number or no place."""
    before, told = talk.state.pending, {reading.subject for reading in readings}
    if before is not None and before.kind == "confirm" and before.unnumbered:
        readings = (*(r for r in before.readings if r.subject not in told), *readings)  # the breath goes on
    best, readings = _of_shelves(talk, heard, best, readings)
    asked = recording.confirm(talk, readings)
    assert asked.pending is not None
    text = f"{_left(talk, heard.interpretation.heard.words, best)} {asked.text}".strip()
    places = tuple(dict.fromkeys(m.can_be[0].name for m in best.unnumbered))
    open_ = places or (("",) if best.lost else ())
    return replace(asked, text=text, pending=replace(asked.pending, unnumbered=open_))


def _of_shelves(
    talk: Conversation, heard: Heard, found: Breath, readings: tuple[Reading, ...]
) -> tuple[Breath, tuple[Reading, ...]]:
    """Take what is left of one place told shelf by shelf, too: "rack two thirty eight, rack three fifty"."""
    words, shelves = heard.interpretation.heard.words, talk.interpreter.lexicon.list("deed_shelves")
    if len(found.pairs) != 1 or not found.lost or found.pairs[0].topic.kind != "equipment":
        return found, readings
    end, more, left = found.pairs[0].number.end, list[Reading](), list[tuple[int, int]]()
    for start, until in sorted(found.lost):
        own = start >= end and shelves & {*words[end:start]}
        told = reading_of(talk, found.pairs[0].topic, " ".join(words[start:until])) if own else None
        if told is not None and take.sensible(talk, (told,)):
            more.append(replace(readings[0], value=told.value))
            end = until
        else:
            left.append((start, until))
    return replace(found, lost=left), (*readings, *more)


def _ordered(talk: Conversation, told: Understanding) -> bool:
    """True for "hold the line at one forty", not for "tell him the drawers were forty two"."""
    lexicon = talk.interpreter.lexicon
    opening = lexicon.filler | lexicon.links | lexicon.list("openers") | lexicon.list("hesitating")
    first = next((word for word in told.words if word not in opening), "")
    states = lexicon.list("past_only") | lexicon.list("present_is")
    return first in lexicon.list("instructing") and not states & {*told.words}


def _left(talk: Conversation, words: tuple[str, ...], found: Breath) -> str:
    """Name what has no number, and the numbers that nothing was made of."""
    texts = []
    if found.unnumbered:
        names = dict.fromkeys(talk.shown(m.can_be[0].name) for m in found.unnumbered)
        texts.append(talk.words("no_number_of", list=", ".join(names)))
    if found.lost:
        spans = sorted({*found.lost})
        lost = ", ".join(f"'{' '.join(words[start:end])}'" for start, end in spans)
        texts.append(talk.words("unused", words=lost))
    return capital(" ".join(texts))


def with_times(talk: Conversation, read: Understanding, way: Way, found: Breath) -> tuple[Reading, ...]:
    """Return the readings with the times told for them; nothing where one is no time to enter."""
    places = [(pair.number.start, pair.number.end) for pair in found.pairs]
    timed = times_of(way, read, places, talk.interpreter.lexicon, found.lost)
    at = [when(timed.of.get(place), talk.clock.now()) for place in places]
    to_come = (told for told in way if told.part == "ahead")
    lexicon = talk.interpreter.lexicon
    ahead = any(not of_another_clause(told, way, read, places, lexicon) for told in to_come)
    if ahead or any(each.kind not in ("now", "told") for each in at):
        return ()
    return tuple(
        replace(pair.reading, said_at=each.iso, place=pair.place or pair.reading.place)
        for pair, each in zip(found.pairs, at, strict=True)
    )
