"""Corrections in any words, as the net hears them: which entry is meant, and what becomes of it.

An entry named by its place or food is changed or taken back, however long ago in this half hour it was read;
one without a name is the last one, as long as nothing else was said since that could be meant as well. A
number of a place that was not read yet is a reading of it, never a change of another.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from decimal import Decimal

from assistant.dialogue import agreed, amounts_told, candidates, discards, named_among, recording
from assistant.dialogue.amend import Amendment, only_opens, parse_amendment
from assistant.dialogue.answer import Answer, Request
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.record import withdrawn
from assistant.dialogue.reports.place_marks import alike
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import Pending
from assistant.dialogue.talking import talks
from assistant.dialogue.which_place import which_of_waiting, which_ones
from assistant.dialogue.withdrawing import CORRECTION, withdraw
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.views import Line
from intents.lexicon import Span
from intents.mentions import READ, Measure, Understanding
from intents.readings import Reading

_STILL_MEANT = timedelta(minutes=30)
"""An entry so long ago may be meant by a correction that names it (judgement)."""
_TWO = 2
_CONTAINER = "container_word"
_SURE, _TALK = 0.5, 0.15
"""Least share of a correction, and the share of talk from which words that nobody called are left alone."""
_OF_OURS = 0.7
"""Below this share of talk words that came to nothing may have been a report (judgement)."""
NOT_UNDERSTOOD = ("say_again", "which", "unknown_question", "not_sure")
"""Replies to words that were not understood."""
_MEANT = frozenset({"make_that", "wrong_place"})


@dataclass(frozen=True, slots=True)
class Change:
    """What a correction tells: numbers and places that it is, or is not, and whether something goes."""

    numbers: tuple[Measure, ...]
    places: tuple[str, ...]
    denied: tuple[str, ...]
    takes_back: bool
    moves: bool


@talks("correction")
def of_place(talk: Conversation, request: Request) -> Outcome | None:
    """Change the reading logged last to the place that was asked for; other corrections come before."""
    if request.slots.meaning is not None or not request.slots.places:
        return None
    return recording.amend(talk, Amendment(place=request.slots.places[-1]), None)


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Change what is meant; ``None`` where the words tell neither an entry nor what becomes of it."""
    if (more := amounts_told.more_like(talk, heard) or amounts_told.recounted(talk, heard)) is not None:
        return more
    read = heard.interpretation
    surely = read.best is not None and read.best.intent == CORRECTION and read.best.share >= _SURE
    called = talk.addressed or read.meaning.talk < _TALK
    full = replace(heard, interpretation=replace(read, heard=talk.interpreter.with_short_places(read.heard)))
    plainly = _plainly(talk, full.interpretation.heard)
    if read.heard.asks or not (called or plainly) or (read.readings.options and not plainly):
        return None
    alone = read.heard.only(read.heard.measures, talk.interpreter.lexicon.filler)
    if (alone and talk.state.asked_place) or not (surely or plainly):  # alone it is of the place asked for
        return None
    return _changed(talk, full, _change(talk, full.interpretation.heard))


def of_those_read(talk: Conversation, heard: Heard) -> Outcome | None:
    """Change the one of what was read last that a correction names by its place, row or number.

    Two that are told to be the other way about change places.
    """
    lines, read = candidates.read_last(talk), heard.interpretation.heard
    used, readings = frozenset(range(len(read.words))), [candidates.as_read(talk, line) for line in lines]
    waits = talk.state.pending if any(not candidates.is_made(line) for line in lines) else None
    disputed = waits is not None and (waits.disputed or named_among.denies(talk, read, readings))
    if not lines or not (named_among.corrects(talk, heard) or swaps(talk, read) or disputed):
        return None
    turned = swapped(talk, read, readings)
    if turned is not None and waits is not None:
        return replace(recording.confirm(talk, candidates.told_then(talk, turned)), used=used)
    if turned is not None:
        pairs = [(r, each) for r, each in zip(turned, lines, strict=True) if r.subject != each.now.subject]
        food = readings[0].subject_kind == "food"
        told_so = (Amendment(food=r.subject) if food else Amendment(place=r.subject) for r, _ in pairs)
        first, second = (recording.correct(talk, each, pairs[at][1], None) for at, each in enumerate(told_so))
        return replace(agreed.both(talk, first, second), used=used)
    if swaps(talk, read):
        return which_ones() if waits is None else None  # of three it is not told which two
    if gone := _scratched(talk, read, lines):
        return gone
    told = named_among.changed(talk, read, readings)
    if told is None or told[1] == readings[told[0]]:
        if waits is not None:
            return None
        other = len(read.free_measures) > 1 or _places(read) or read.names.get("food")
        no_such = named_among.numbered_so(talk, read) and not other
        again = talk.catalogue[recording.READING].replies["say_again"]  # nine is no reading of anything
        return Outcome(Answer("say_again"), recording.READING, text=again) if no_such else None
    line, meant = lines[told[0]], told[1]
    moves = meant.subject != line.now.subject
    amendment = Amendment(place=meant.subject, moves=True) if moves else Amendment(value=meant.value)
    changed = recording.correct(talk, amendment, line, heard if told[2] or waits is None else None)
    along = _clocks_along(talk, line.now.subject, meant.subject) if moves and changed.drafts else ()
    return replace(changed, own_drafts=(*changed.own_drafts, *along), used=used)


def swapped(
    talk: Conversation, read: Understanding, readings: Sequence[Reading]
) -> tuple[Reading, ...] | None:
    """Return ``readings`` with two of them each as of the place or food of the other: "other way about".

    They are the two that are named, or the only two.
    """
    lexicon, subjects = talk.interpreter.lexicon, [reading.subject for reading in readings]
    found = (
        *named_among.pointers(talk, read, subjects, told=True),
        *named_among.lone_numbers(read, subjects, all_of_places=False),
    )
    says = lexicon.says(read.words, "swapped")
    plainly = bool({*read.words} & lexicon.list("swapping")) and read.only(found, _swap_words(talk))
    two = _both_named(found, subjects)
    if says and len(readings) == _TWO:
        two = [0, 1]
    if read.asks or not (says or plainly) or len(two) != _TWO:
        return None
    one, other = (readings[at] for at in two)
    alike_read = replace(one, subject="", value=other.value) == replace(other, subject="")
    numbers = (
        m
        for m in read.free_measures
        if m.kind in READ and m.start not in {i for p in found for i in range(p.start, p.end)}
    )
    told = {m.value for m in numbers if len(m.options) == 1}
    if not alike_read or not told <= {one.value, other.value}:
        return None
    already = named_among.changed(talk, read, readings) if told else None
    if already is not None and already[1].value == readings[already[0]].value:
        return None  # so it stands already
    subject = {one.subject: other.subject, other.subject: one.subject}
    return tuple(replace(r, subject=subject[r.subject]) if at in two else r for at, r in enumerate(readings))


def swaps(talk: Conversation, read: Understanding) -> bool:
    """True for "the other way round" and nothing else."""
    says = talk.interpreter.lexicon.says(read.words, "swapped")
    return says and {*read.words} <= _swap_words(talk) and not read.asks


def _swap_words(talk: Conversation) -> frozenset[str]:
    lexicon = talk.interpreter.lexicon
    phrases = lexicon.list("swapped") | lexicon.list("correction_phrases")
    small = lexicon.small("swapping", "swapped_small", "correction_openers")
    return small.union(*(phrase.split() for phrase in phrases))


def _both_named(found: Sequence[named_among.Pointer], subjects: Sequence[str]) -> list[int]:
    """Return which of ``subjects`` are named each by one pointer, or by two together ("soup wells one")."""
    sets = [p.places for p in found if not p.denied]
    named = {*(each & other for each in sets for other in sets if len(each & other) == 1)}
    return [at for at, subject in enumerate(subjects) if frozenset((subject,)) in named]


def _scratched(talk: Conversation, read: Understanding, lines: list[Line]) -> Outcome | None:
    """Take back what "scratch the first one" points at, and nothing else."""
    lexicon = talk.interpreter.lexicon
    gone = read.has("scratch") or {*read.words[:1]} & lexicon.list("taking_back")
    subjects = [line.now.subject for line in lines]
    found = named_among.pointers(talk, read, subjects, told=True) if gone else ()
    meant = [line for line in lines if any(line.now.subject in pointer.places for pointer in found)]
    small = lexicon.small("correction_openers", "correction_small", "taking_back", "denying")
    if not meant or len(meant) == len(lines) or not read.only((*found, *read.spans("scratch")), small):
        return None
    return withdraw(talk, meant) if candidates.is_made(meant[0]) else None


def of_the_other(talk: Conversation, heard: Heard) -> Outcome | None:
    """Move what was read last to the only other place for "wrong cooler", or ask for its place.

    Of "no, that's the reach-in, walk-in's thirty six" one is moved, and another read.
    """
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    places, openers = read.names.get("equipment", ()), lexicon.list("correction_openers")
    opened = {*read.words[:1]} & (openers | lexicon.list("naming"))
    if opened and len(places) == _TWO and len(read.free_measures) == 1:
        at, size = places[1].start, len(read.words)
        moved = _amended_by(talk, talk.part(heard, range(at)))
        readings = talk.part(heard, range(at, size)).interpretation.readings.certain
        if moved is not None and readings:
            asked = recording.confirm(talk, readings)
            return replace(moved, text=f"{talk.rendered(moved)} {asked.text}", pending=asked.pending)
    spans = read.spans("other_place", "wrong_place")
    wrong = read.has("wrong_place") or "meant" in read.words or openers & {*read.words[:1]}
    if not spans or not wrong or not read.only(spans, lexicon.small("correction_openers")):
        return None
    if not (lines := candidates.read_last(talk)):
        return None
    last = lines[-1].now.place or lines[-1].now.subject
    others = [each for each in alike(talk, last) if each != last]
    if len(lines) > 1 and not candidates.is_made(lines[-1]):
        return which_of_waiting(talk)
    if len(others) == 1:
        return recording.amend(talk, Amendment(place=others[0]), heard)
    waiting = Pending("slot", talk.clock.now(), "place", talk.request(CORRECTION, Slots()))
    return Outcome(Answer("which"), CORRECTION, pending=waiting, keep_context=True)


def _amended_by(talk: Conversation, heard: Heard) -> Outcome | None:
    found = parse_amendment(heard.interpretation.heard, talk.interpreter.lexicon)
    return recording.amend(talk, found, heard) if found is not None and found.place else None


def _clocks_along(talk: Conversation, old: str, new: str) -> tuple[Draft, ...]:
    """Move a clock begun in the same breath as what was read: it was the other bucket that was made."""
    clocks = [e for e in talk.standing if e.entry.kind == "clock" and e.now.subject == old]
    return tuple(
        draft
        for line in clocks
        for draft in (
            withdrawn(line),
            Draft(kind="clock", subject=new, measured=line.now.measured, note=line.now.note),
        )
    )


def _plainly(talk: Conversation, said: Understanding) -> bool:
    """True for "drop the reach-in", "wrong one, the rail", and nothing else; the place is one just read."""
    lexicon, opening, last = talk.interpreter.lexicon, set(said.words[:1]), _last(talk)
    places, wrong = _places(said), [s for s in said.concepts if s.value == "wrong_place"]
    foods = said.names.get("food", ())
    gone = len(foods) == 1 and not places and discards.lately_out(talk, foods[0].value) is not None
    if last is None or (foods and not gone):
        return False
    read = {line.now.subject for line in (*candidates.waiting(talk), *talk.standing)}
    meant = len(places) == 1 and len(said.free_measures) <= 1 and (bool(wrong) or places[0].value in read)
    meant = meant or (gone and bool(opening & lexicon.list("taking_back")))
    opens = lexicon.list("changing") | lexicon.list("taking_back")
    spans = [(s.start, s.end) for s in (*places, *wrong, *foods)] + [(m.start, m.end) for m in said.measures]
    covered = {0} | {i for start, end in spans for i in range(start, end)}
    small = lexicon.filler | lexicon.links | lexicon.list("correction_small") | lexicon.list("denying")
    known = all(i in covered or word in small for i, word in enumerate(said.words))
    return meant and known and bool(wrong or opening & opens)


def _places(said: Understanding) -> tuple[Span, ...]:
    """Return the places named, without the one of "wrong cooler"."""
    wrong = [s for s in said.concepts if s.value == "wrong_place"]
    return tuple(s for s in said.names.get("equipment", ()) if not any(s.overlaps(w) for w in wrong))


def unheard(talk: Conversation, heard: Heard, outcome: Outcome) -> str:
    """Return the words of a turn that told a number or place and came to nothing, else nothing.

    What was said to somebody else is nothing of ours, and leaves what was not understood before it.
    """
    read = heard.interpretation
    silent = outcome.answer is None and outcome.text is None and not outcome.drafts
    told = bool(read.heard.names.get("equipment") or read.heard.free_measures) and not read.heard.asks
    if silent:
        lost = told and heard.typed and bool(read.heard.names.get("equipment"))
        return heard.text if lost and read.meaning.talk < _OF_OURS else talk.state.unheard
    reply = outcome.answer.reply if outcome.answer is not None else ""
    nothing = reply in NOT_UNDERSTOOD and not outcome.drafts and outcome.text is None
    return heard.text if nothing and told and read.meaning.act in ("tell", "answer") else ""


def _change(talk: Conversation, said: Understanding) -> Change:
    lexicon, words = talk.interpreter.lexicon, said.words
    denying = lexicon.list("denying") | lexicon.list("wrongly")
    numbers = tuple(m for m in said.free_measures if not set(words[max(0, m.start - 1) : m.start]) & denying)
    spans, first = _places(said), int(only_opens(said, lexicon))
    denied = tuple(s.value for s in spans if set(words[max(first, s.start - 2) : s.start]) & denying)
    gone = lexicon.says(words, "never_measured") or lexicon.says(words, "unmeasured") or said.has("scratch")
    gone = gone or bool(set(words[:1]) & lexicon.list("taking_back"))
    return Change(
        numbers,
        tuple(s.value for s in spans if s.value not in denied),
        denied,
        gone,
        bool(denied) or said.has(*_MEANT),
    )


def _changed(talk: Conversation, heard: Heard, change: Change) -> Outcome | None:
    said = heard.interpretation.heard
    counted = {span.start for span in said.concepts if span.value == _CONTAINER}
    if any(m.end in counted for m in change.numbers):  # "make it four trays" changes no temperature
        return Outcome(Answer("say_again"), recording.READING, keep_context=True)
    read = tuple(m for m in change.numbers if m.kind in READ and len(m.options) == 1)
    line = _named(talk, said, change)
    if len(read) > 1 or any(len(m.options) != 1 for m in change.numbers if m.kind in READ):
        return Outcome(Answer("say_again"), recording.READING, keep_context=True)
    named = bool(change.places or said.names.get("food"))
    if talk.state.unheard and line is None and said.names.get("food"):
        return Outcome(Answer("say_again"), recording.READING, keep_context=True)
    if talk.state.unheard and not (line is not None and named):
        return None
    last = line or (None if named and not change.moves else _last(talk))
    if last is not None and amounts_told.is_amount(last) and (change.numbers or not change.takes_back):
        return amounts_told.amended(talk, heard, last)
    if change.takes_back and not read and (last is not None):
        moved = change.places and line is None
        return _moved(talk, change, last) if moved else withdraw(talk, [last])
    if read and line is None and change.places and not change.moves:
        reading = _reading(talk, change.places[-1], read[0].value)
        return recording.confirm(talk, (reading,)) if reading is not None else None
    if last is None or last.entry.kind != "reading":
        return None
    if read:
        unit = read[0].unit if read[0].unit in ("F", "C") else ""
        place = change.places[-1] if change.places and line is None else ""
        return recording.correct(talk, Amendment(read[0].value, place, unit), last, heard)
    return _moved(talk, change, last) if change.places and (line is None or change.moves) else None


def _moved(talk: Conversation, change: Change, line: Line) -> Outcome | None:
    return recording.correct(talk, Amendment(place=change.places[-1]), line, None)


def _named(talk: Conversation, said: Understanding, change: Change) -> Line | None:
    """Return the one entry of this half hour that the words name: its place, food, or a word of its name."""
    names = {*change.places, *(s.value for s in said.names.get("food", ()))}
    since = talk.clock.now() - _STILL_MEANT
    wanted = Filter(kinds=("reading", "discard"), since=since, standing_only=True)
    found: dict[str, Line] = {}
    for line in talk.log.views.lines(wanted, limit=50).lines:
        subject = line.now.subject
        own = {subject, line.now.item, line.now.place}
        short = any(name in subject.split() or set(name.split()) <= set(subject.split()) for name in names)
        if names & own or (short and not change.places):
            found[subject] = max((line, found.get(subject, line)), key=lambda each: each.entry.id)
    exact = [line for subject, line in found.items() if subject in names]
    every = exact or list(found.values())
    return every[0] if len(every) == 1 else None


def _last(talk: Conversation) -> Line | None:
    """Return the entry logged last in this conversation."""
    told = [
        line for line in talk.standing if line.entry.kind != "event"
    ] or talk.standing  # a move beside it goes along
    return told[-1] if told and talk.state.recent(talk.clock.now()) else None


def _reading(talk: Conversation, place: str, value: Decimal) -> Reading | None:
    found = talk.interpreter.answer_for("equipment", place, f"{value.normalize():f}").certain
    return replace(found[0]) if len(found) == 1 else None
