"""What else a breath with deeds says: a reading beside them, a batch before its move, a clean board."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise

from assistant.dialogue import discards, unknown_place
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.deeds_meant import lately
from assistant.dialogue.hearing import Heard
from assistant.dialogue.notes import WAS_DONE, NoteDraft
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports import take, whose
from assistant.dialogue.reports.deeds import told_at
from assistant.dialogue.reports.said_at import on_another_day, stamped, when
from assistant.dialogue.reports.times import BEFORE_A_TIME, Told
from assistant.dialogue.reports.times import ways as ways_of_times
from assistant.dialogue.say import listed_in
from intents.deeds import Breath, Deed
from intents.lexicon import Lexicon
from intents.mentions import READ, Understanding
from intents.quantities import Clock, Day
from intents.words import tokenise


@dataclass(frozen=True, slots=True)
class Apart:
    """What a breath tells beside its deeds: the words that do, and what is done with them."""

    words: frozenset[int]
    outcome: Outcome


_SEVERAL = 2
_QUESTION = re.compile(r"(?<=[.!])\s[^.!?]*\?")


def apart(talk: Conversation, heard: Heard, found: Breath) -> Apart | None:
    """Return what is read in words that are no deed's: "the pie fridge is forty four and i moved the cream".

    A place that this kitchen lacks is asked for, and never the deed's own place taken in its stead.
    """
    words, read = set[int](), heard.interpretation.heard
    numbers = numbers_left(heard, found)
    for run in _runs(talk, heard, found):
        words |= set(run) if numbers & set(run) else set()
    said = read.said(words)
    part = _said_alone(talk, heard, said)
    of_a_car = talk.interpreter.lexicon.list("delivery_cars") & {
        *part.interpretation.heard.words
    }  # "the milk truck's reefer read fifty"
    outcome = unknown_place.report(talk, part) if words and not of_a_car else None
    if outcome is None and words:
        there = () if part.interpretation.readings.options else _where_it_went(talk, read, found, numbers)
        outcome = take.report(talk, _said_alone(talk, heard, there) if there else part)
        outcome = outcome or whose.report(talk, part, batches_only=True)  # "twenty point five, gone in the"
    told = outcome is not None and (outcome.readings or outcome.pending is not None)
    return Apart(frozenset(words), outcome) if outcome is not None and told else None


def _said_alone(talk: Conversation, heard: Heard, words: tuple[str, ...]) -> Heard:
    core = talk.interpreter.readings_of(words)
    core = replace(core, meaning=talk.interpreter.meaning_of(core.heard.words))
    return replace(heard, interpretation=core)


def _where_it_went(
    talk: Conversation, read: Understanding, found: Breath, numbers: set[int]
) -> tuple[str, ...]:
    """Return "moved the gravy to the steam table, it's at one fifty" as said of the steam table."""
    lexicon = talk.interpreter.lexicon
    to = [deed.places[-1] for deed in found.deeds if deed.kind == "moved" and len(deed.places) == 1]
    its = lexicon.list("deed_it") | lexicon.list("present_is")
    first = min(numbers, default=0)
    before = read.words[max(0, first - 2) : first]
    of_one = {*before[:1]} & lexicon.list("batch_one") and {*before[1:]} & lexicon.list("read_at")
    if not (to and its & {*before}) or of_one:  # "they're in the walk-in, the middle one is sixty"
        return ()
    return (*tokenise(talk.site.spoken_name(to[-1])), *read.said(numbers))


def _runs(talk: Conversation, heard: Heard, found: Breath) -> list[range]:
    """Return the stretches of words between deeds, without the small words at their ends.

    What stands before the first verb is told of what is read there; a time right behind a deed is its own.
    """
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    gone = found.used | verbs(found)
    first = min(deed.start for deed in found.deeds)
    gone -= {i for i in range(first) if max(numbers_left(heard, found) & set(range(first)), default=-1) >= i}
    gone -= {i for start, end in unknown_place.names(talk, heard) for i in range(start, end)}
    gone |= _why(heard, lexicon)
    small = lexicon.list("deed_joints") | lexicon.list("deed_doers") | lexicon.filler
    its = lexicon.list("still_it")  # "it's at one fifty" is read there
    times = ways_of_times(read, lexicon, heard.interpretation.meaning.roles)
    its_time = {t.start: t.end for way in times for t in way if read.words[t.start] not in its}
    runs, at, count = [], 0, len(read.words)
    while at < count:
        end = next((i for i in range(at, count) if i in gone), count)
        start = at
        while start < end and (read.words[start] in small or (start in its_time and at)):
            start = max(start + 1, its_time.get(start, 0) if at else 0)
        stop = end
        while stop > start and read.words[stop - 1] in small:
            stop -= 1
        runs += [range(start, stop)] if start < stop else []
        at = end + 1
    return runs


def _why(heard: Heard, lexicon: Lexicon) -> set[int]:
    """Return the words of clauses that only give a reason: they name nothing and hold no number."""
    read, roles = heard.interpretation.heard, heard.interpretation.meaning.roles
    reasons = {i for i, role in enumerate(roles) if role == "reason"}
    named = {i for spans in read.names.values() for span in spans for i in range(span.start, span.end)}
    kept = named | {i for m in read.measures for i in range(m.start, m.end)}
    asides = {i for i, word in enumerate(read.words) if word in lexicon.list("asides")}
    clauses = [range(*each) for each in pairwise(sorted({0, *read.breaks, *asides, len(read.words)}))]
    return {i for clause in clauses if reasons & {*clause} and not kept & {*clause} for i in clause}


def but_for(heard: Heard, words: frozenset[int]) -> Heard:
    """Return what was heard without the names and numbers of some of its words."""
    read = heard.interpretation.heard
    names = {
        kind: tuple(s for s in spans if not words & set(range(s.start, s.end)))
        for kind, spans in read.names.items()
    }
    measures = tuple(m for m in read.measures if m.start not in words)
    read = replace(read, names=names, measures=measures)
    return replace(heard, interpretation=replace(heard.interpretation, heard=read))


def numbers_left(heard: Heard, found: Breath) -> set[int]:
    read = heard.interpretation.heard
    measures = [m for m in read.free_measures if m.start not in found.used]
    return {i for m in measures for i in range(m.start, m.end)} & set(found.left)


def settled(whole: list[Outcome], rest: Outcome) -> Outcome:
    """Return a failed reading without the question since when, of food that went out in the same breath."""
    gone = {draft.item for each in whole for draft in each.drafts if draft.kind == "discard"}
    read = {reading.subject for reading in rest.readings}
    if rest.pending is None or rest.pending.kind != "slot" or not read <= gone:
        return rest
    return replace(rest, pending=None, text=_QUESTION.sub("", rest.text or ""))


def verbs(found: Breath) -> set[int]:
    return {i for deed in found.deeds for i in range(deed.start, deed.end)}


def with_things(talk: Conversation, heard: Heard, found: Breath, joined: Outcome) -> Outcome:
    """Keep what was done to a board or knife beside a wash: "changed gloves, new board"."""
    read = heard.interpretation.heard
    spans = [s for s in read.concepts if s.value == "contact_thing"]
    named = {i for s in spans for i in range(s.start, s.end) if i in found.left}
    if not named or not any(deed.kind in ("washed", "gloved") for deed in found.deeds):
        return joined
    things = tuple(dict.fromkeys(read.words[i] for i in sorted(named)))
    said = " ".join(read.words)
    drafts = tuple(NoteDraft(said, thing, begins=WAS_DONE).entry for thing in things)
    text = f"{joined.text} {talk.words('done_too', what=listed_in(talk, things))}"
    return replace(joined, own_drafts=(*joined.own_drafts, *drafts), text=text)


def joined(
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
        whole.insert(0, settled(whole, rest))
    words = heard.interpretation.heard.words
    lost = [deed for deed, each in zip(done, outcomes, strict=True) if each is None]
    texts = [talk.rendered(each) for each in whole]
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
        used=frozenset(found.used | verbs(found)).union(*(each.used for each in whole)),
    )


def time_of(talk: Conversation, heard: Heard, deeds: Sequence[Deed], beside: frozenset[int]) -> Told | None:
    """Return when the deeds of a breath were done, or since when what went out had stood.

    No time of the words ``beside`` the deeds, and no bare number that may be of another shift or a strength.
    """
    stood = discards.stood(talk, heard, deeds, beside)
    if stood is not None or not deeds:
        return stood
    put = all(deed.kind == "moved" for deed in deeds)  # "in the rail since ten"
    time = told_at(talk, heard, ("at", "since") if put else ("at",), counting=True, beside=beside)
    if (earlier := another_day(talk, heard, deeds)) is not None:
        return earlier
    if time is None or (time[1].kind == "now" and not isinstance(time[0].meaning, Clock)):
        return None
    told, bucket = time[0], any(deed.kind == "remade" for deed in deeds)
    if not told.bare or lately(talk, *time, bucket=bucket):
        return told
    others = {m.start for m in heard.interpretation.heard.free_measures if m.kind in READ} - {*told.words}
    cold = any(deed.kind == "moved" for deed in deeds) or talk.site.kitchen.units == "C"  # "at two" is cold
    hour = isinstance(told.meaning, Clock) and not told.meaning.minute and (bucket or not cold)
    marked = heard.interpretation.heard.words[told.start] in BEFORE_A_TIME
    return told if marked and (hour or (bucket and others)) else None  # "at one fifty" may have been read


def times_of_deeds(
    talk: Conversation, heard: Heard, deeds: Sequence[Deed], beside: frozenset[int]
) -> dict[int, Told]:
    """Return the time of each deed by where its verb stands: one of all, or each its own."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    every = ways_of_times(read, lexicon, heard.interpretation.meaning.roles) if len(deeds) > 1 else ()
    marked = (
        [t for t in way if t.part == "at" and (not t.bare or read.words[t.start] in BEFORE_A_TIME)]
        for way in every
    )
    told = max(([t for t in way if not beside & {*t.words}] for way in marked), key=len, default=[])
    if len(told) < _SEVERAL:
        time = time_of(talk, heard, deeds, beside)
        return {deed.start: time for deed in deeds if time is not None}
    ends = [*(deed.start for deed in deeds[1:]), len(read.words)]
    own = {d.start: [t for t in told if d.start <= t.start < end] for d, end in zip(deeds, ends, strict=True)}
    return {start: times[0] for start, times in own.items() if len(times) == 1}


def another_day(talk: Conversation, heard: Heard, deeds: Sequence[Deed]) -> Told | None:
    """Return "last night", told of deeds and of no food ("the ham we made yesterday", "yesterday's ham")."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    foods = {span.start for span in read.names.get("food", ())}
    others = lexicon.list("deed_doers") | lexicon.list("deed_made")
    told = [t for way in ways_of_times(read, lexicon, heard.interpretation.meaning.roles)[:1] for t in way]
    for time in (*told, *_earlier(read.words, lexicon)):
        before = max((deed.end for deed in deeds if deed.end <= time.start), default=time.start)
        own = others & {*read.words[before : time.start]}
        own |= lexicon.list("deed_from") & {*read.words[max(before, time.start - 1) : time.start + 1]}
        of_food = time.end in foods or bool(own)
        if time.part == "at" and not of_food and on_another_day(time, talk.clock.now()):
            return time
    return None


def _earlier(words: tuple[str, ...], lexicon: Lexicon) -> Iterator[Told]:
    """Give "last shift" and "the other day", which tell no day that could be reckoned."""
    for phrase in (tuple(each.split()) for each in lexicon.list("earlier_times")):
        found = (i for i in range(len(words)) if words[i : i + len(phrase)] == phrase)
        yield from (Told(i, i + len(phrase), "at", Day(offset=-1)) for i in found)


def at_time(talk: Conversation, heard: Heard, outcome: Outcome | None, time: Told | None) -> Outcome | None:
    """Return a deed's outcome with its time, or with the time that its food had stood."""
    if outcome is None or time is None:
        return outcome
    then = time.part != "at" or on_another_day(time, talk.clock.now())
    if then and any(draft.kind == "discard" for draft in outcome.drafts):
        return discards.with_time(talk, heard, outcome, time)
    found = when(time, talk.clock.now())
    return stamped(outcome, found.iso, talk.clock.now()) if lately(talk, time, found) else outcome


def to_come(time: Told | None, now: datetime) -> bool:
    """True for a deed told with "at one pm" before that: nobody did it yet."""
    found = when(time, now).kind
    return time is not None and found in ("coming", "old") and not on_another_day(time, now)


def unkept(talk: Conversation, heard: Heard, outcome: Outcome, time: Told | None) -> Outcome:
    """Give back the words of a deed's time that no entry keeps: which day's three it was is not known."""
    found = when(time, talk.clock.now())
    if time is None or time.part != "at" or found.kind == "now" or lately(talk, time, found):
        return outcome
    words, joints = heard.interpretation.heard.words, talk.interpreter.lexicon.list("deed_joints")
    said = " ".join(word for word in words[time.start : time.end] if word not in joints)
    if any(said in draft.note for draft in outcome.drafts):
        return outcome
    lost = talk.words("unused", words=f"'{said}'")
    return replace(outcome, text=f"{talk.rendered(outcome)} {lost}")
