"""A number told without its place, or of a place that is not here: it is kept, and the place is asked for."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.dialogue import notes, recording, unknown_place
from assistant.dialogue.answer import Answer, capital
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports import take, whose
from assistant.dialogue.reports.fits import reading_of
from assistant.dialogue.reports.mentioned import mentioned
from assistant.dialogue.reports.said_at import when
from assistant.dialogue.reports.whose import numbers_told, times_told
from assistant.dialogue.say import fill, worded
from assistant.dialogue.state import Pending
from assistant.dialogue.statements import asks
from assistant.dialogue.topic import Topic, can_be, told_of, topics
from assistant.dialogue.unknown_place import names, unknown_name, where_read
from intents.language import language
from intents.mentions import READ
from intents.number_roles import differs_from_past, words_of_others
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_SEVERAL = 2
_MOVED = ("difference", "set")
"""What a number is of that is no reading of a place, where what it reads is asked."""


def which_place(talk: Conversation, heard: Heard) -> Outcome | None:
    """Ask which place reads "it's back down to thirty nine"; ``None`` where not just one number was told."""
    if not talk.addressed:
        return None
    way = next((w for w in times_told(talk, heard) if all(t.part == "at" for t in w)), None)
    if way is None or (named := mentioned(talk, heard, way)):
        return None
    numbers = numbers_told(talk, heard, way, named)
    at = when(next(iter(way), None), talk.clock.now())
    if numbers is None or len(numbers) != 1 or at.kind not in ("now", "told"):
        return None
    words = " ".join(heard.interpretation.heard.words[numbers[0].start : numbers[0].end])
    now = talk.clock.now()
    name = unknown_name(talk, heard)
    another = whose.of_something_else(talk, heard, numbers[0].start)  # "water's seventy four" of no chicken
    if not (name or another) and (spoken := _spoken_of(talk, words)) is not None:
        return recording.confirm(talk, (replace(spoken, said_at=at.iso),))
    options = where_read(talk, words, at.iso)
    if not options:
        return None
    value = f"{numbers[0].value:f}"
    reply, slots = ("no_such_place", {"place": name}) if name else ("which_place_reads", {"value": value})
    text = fill(talk.catalogue[recording.READING].replies[reply], worded(slots, talk.catalogue))
    waiting = Pending("choose", now, options=options)
    return Outcome(Answer("say_again"), recording.READING, text=text, pending=waiting)


def moved_by(talk: Conversation, heard: Heard, *, read_so: bool = False) -> Outcome | None:
    """Note "it's up four degrees", which no gauge shows, and ask what the place or food reads.

    Of what was spoken of, and may read so much itself, the number is read back. ``read_so``: a number that
    it differs from was taken for a reading.
    """
    read, called = heard.interpretation, talk.addressed or read_so
    others, past = words_of_others(read.heard), differs_from_past(read.heard)
    told = [m for m in read.heard.free_measures if m.kind in READ and not others & {*range(m.start, m.end)}]
    numbers = bool(told) and not past
    roles = [] if numbers else read.heard.number_roles
    moved = {i for o in roles if o.role in _MOVED and (past or not o.perhaps) for i in range(o.start, o.end)}
    named = mentioned(talk, heard, ()) if moved and called else []
    tells = read.meaning.act == "tell" and not read.asked
    reads = bool(named) and read.meaning.best.intent == recording.READING
    if not moved or not called or read.heard.asks or not (tells or reads):
        return None
    can = [m.can_be for m in named][-1:] or [topics(talk)[:1]]
    if len(can[0]) != 1:
        return None
    of = can[0][0]
    told = [m for m in read.heard.free_measures if m.start in moved]
    if not (named or past) and len(told) == 1 and read.heard.may_read(of.kind, of.name, told[0].value):
        words = " ".join(read.heard.words[told[0].start : told[0].end])
        if (reading := reading_of(talk, of, words)) is not None:
            return recording.confirm(talk, (reading,))
    places = {of.name} if of.kind == "equipment" else set[str]()
    kept = notes.alone(talk, notes.of(talk, " ".join(read.heard.words), places))
    place = capital(talk.shown(of.name))
    asked = fill(talk.catalogue[recording.READING].replies["exact"], worded({"place": place}, talk.catalogue))
    read_then = Reading(of.name, of.kind, Decimal(0), "temperature", "")
    waiting = Pending("value", talk.clock.now(), readings=(read_then,))
    return replace(kept, text=f"{talk.words('noted')} {asked}", pending=waiting)


def beside(talk: Conversation, heard: Heard) -> Outcome | None:
    """Take what is read beside a place that is not here: "beer cooler thirty eight, walk-in thirty seven".

    The first number of an unknown place waits for its place, unless something else has to be asked.
    """
    read = heard.interpretation.heard
    if asks(read) or not (lost := _lost(talk, heard)):
        return None
    gone = {i for name, number in lost for i in (*name, *number)}
    rest = talk.part(heard, (i for i in range(len(read.words)) if i not in gone))
    taken = take.report(talk, rest) or whose.report(talk, rest)
    if taken is None or not (taken.readings or taken.pending):
        if len(lost) < _SEVERAL:
            return None
        taken = Outcome(Answer("say_again"), recording.READING, text="")
    waiting, asked = taken.pending, ""
    text = talk.rendered(taken)
    for name, number in lost:
        told = tuple(read.words[i] for i in number)
        options = () if waiting else where_read(talk, " ".join(told), "")
        waiting = waiting or (Pending("choose", talk.clock.now(), options=options) if options else None)
        value = min(language(read.language).numbers.values(told), default=Decimal(0))
        slots = {
            "place": unknown_place.shown(talk, tuple(read.words[i] for i in name)),
            "value": f"{value:f}",
        }
        reply = "no_such_place_of" if options else "no_such_place_lost"
        words = fill(talk.catalogue[recording.READING].replies[reply], worded(slots, talk.catalogue))
        asked, text = (words, text) if options else (asked, f"{words} {text}")
    text = " ".join(part.strip() for part in (text, asked) if part.strip())
    return replace(taken, text=text, pending=waiting, used=taken.used | gone)


def _lost(talk: Conversation, heard: Heard) -> list[tuple[range, range]]:
    """Return the words of each unknown place with those of its number; nothing where one has none.

    A number stands behind its place, or before it where none does.
    """
    read = heard.interpretation.heard
    numbers = {m.start: range(m.start, m.end) for m in read.free_measures if m.kind in READ}
    named = {
        i for kind in ("equipment", "food") for s in read.names.get(kind, ()) for i in (s.start, s.end - 1)
    }
    spans = [range(begin, end) for begin, end in names(talk, heard)]
    first = min((named | {i for span in spans for i in span}), default=0)
    if min(numbers, default=first) < first or any(times_told(talk, heard)):
        return []  # "thirty eight in the beer cooler, forty eight in the walk-in": whose is whose is asked
    found = []
    for name in spans:
        others = (named | {i for span in spans for i in span}) - set(name)
        behind = next((n for at, n in sorted(numbers.items()) if at >= name.stop), None)
        ahead = next((n for at, n in sorted(numbers.items(), reverse=True) if at < name.start), None)
        plain = [
            number
            for number, between in (
                (behind, range(name.stop, behind.start) if behind else range(0)),
                (ahead, range(ahead.stop, name.start) if ahead else range(0)),
            )
            if number and not others & set(between)
        ]
        if not plain:
            return []
        found.append((name, plain[0]))
        del numbers[plain[0].start]
    return found if numbers or len(found) >= _SEVERAL else []


def _spoken_of(talk: Conversation, words: str) -> Reading | None:
    """Return the number as one of the one food that the talk was of a while ago, to be read back."""
    about = told_of(talk)
    if about is None:
        return None
    topic = Topic("food", about.food, about.at)
    reading = reading_of(talk, topic, words)
    return reading if reading is not None and can_be(talk, topic, reading) else None
