"""Takes a report: logs what is sure, asks what is open, refuses what cannot be entered any more."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import implied, recording, round_talk
from assistant.dialogue.answer import Answer, capital, degrees
from assistant.dialogue.gate import doubles, fits_place
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports import effects
from assistant.dialogue.reports.core import Readings, Report, reports
from assistant.dialogue.reports.lasting import lasting
from assistant.dialogue.reports.said_at import When, when
from assistant.dialogue.reports.times import BEFORE_A_TIME
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import Pending
from assistant.dialogue.topic import topics
from intents.dishes import may_be_dish
from intents.interpret import Interpretation
from intents.lexicon import Lexicon
from intents.mentions import READ, Understanding
from intents.number_roles import may_differ
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

BACKDATE = "backdate"
UNKNOWN = "unknown_time"
READS = ("reading", "log_value", "correction", "holding_check", "cook_done", "frozen_check")
"""Intents of sentences that tell a number."""
READ_AS = ("reading", "log_value", "holding_check", "cook_done", "reheat_check", "cooling_check")
"""Intents of a number that was read off: a net that wavers between them hears a reading all the same."""
DELIVERY = "receive_check"
REFUSED = ("backdate", "made_up", "delete")
SURELY, SURE, HALF = 0.95, 0.6, 0.5
_THREE, _MOST = 3, 99
LOOSELY = 0.8
"""From this share of readings on nothing is read back of a report with words beside it that are not known."""


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return what is done with an utterance that reports readings; ``None`` when it is no such report."""
    read = heard.interpretation
    found = reports(read, talk.interpreter, lambda readings: sensible(talk, readings))
    if found and (
        (found[0].loose and not _surely_read(talk, heard)) or _of_another(talk, read.heard, found[0])
    ):
        return None
    for place in (r.subject for each in found[:1] for option in each.options for r in option):
        if implied.of_another_chemical(talk, read.heard, place):
            return implied.wrong(talk, read.heard, place)
    many = [each.against for each in found if sum(told.part == "at" for told in each.told) > 1]
    found = tuple(each for each in found if sum(told.part == "at" for told in each.told) <= 1)
    if (
        many
        and len(read.heard.free_measures) > 1
        and min(many) < min((e.against for e in found), default=_MOST)
    ):
        return None  # each number has its own time
    now = tuple(each for each in found if not any(told.part == "ahead" for told in each.told))
    found = now  # what is to come was not read
    if len(found) == 1 and not _asked(talk, read, found[0]) and (kept := lasting(talk, read, found[0])):
        return _lasting(talk, heard, found[0], kept)
    if not found or _of_a_topic(talk, heard, found[0]):
        return None
    politely = talk.interpreter.lexicon.politely(read.heard.words)
    supposed = (
        (_asked(talk, read, found[0]) and not politely) or found[0].has("judge") or _meant_to(talk, read)
    )
    if supposed and not found[0].has("exact"):  # "is it ok at forty something": on which side is not known
        offer = talk.addressed and told_first(talk, read.heard)
        at = when(found[0].at, talk.clock.now())
        if at.kind in ("old", "unclear", "coming"):
            offer = False  # what cannot be entered with its time is judged and not offered
        return recording.judge_only(talk, _at(found[0], at)[0], offer=offer)
    if any(not each.told for each in found):  # "three forty four and four thirty eight": numbers, no time
        words = read.heard.words
        found = tuple(
            e for e in found if not any(t.bare and words[t.start] not in BEFORE_A_TIME for t in e.told)
        )
    first = found[0]
    equal = [r for r in found if r.against == first.against and _sensible(talk, r) == _sensible(talk, first)]
    most = max(sum(len(told.words) for told in each.told) for each in equal)
    widest = [each for each in equal if sum(len(told.words) for told in each.told) == most]
    # "Ten to two" is a time by its words: sooner that than "at ten" and a two that is left.
    fewest = min(sum(told.bare for told in each.told) for each in widest)
    best = tuple(each for each in widest if sum(told.bare for told in each.told) == fewest)
    return _open(talk, heard, best) if len(best) > 1 else _one(talk, heard, best[0])


def _of_another(talk: Conversation, heard: Understanding, each: Report) -> bool:
    """True for "same on the bisque, gazpacho's up, one forty": what opens its clause has the number.

    Food that only tells where something else was has no number of a place behind it, either: "ants in the
    sugar, walk-in forty".
    """
    lexicon = talk.interpreter.lexicon
    small = lexicon.small("deed_articles", "hesitating", "openers")
    first = min((m.start for m in heard.free_measures if m.kind in READ), default=0)
    named = [s for kind in ("food", "equipment") for s in heard.names.get(kind, ()) if s.end <= first]
    read = {name for option in each.options for r in option for name in (r.subject, r.place)}
    ends = max((s.end for s in named if s.value in read), default=first)
    for clause in (at for at in heard.breaks if 0 < at < first and not each.at):
        opens = next((i for i in range(clause, first) if heard.words[i] not in small), first)
        there = [s for s in named if s.start == opens]
        within = [s for s in named if s.end <= clause and _within(heard, s.start, lexicon)]
        if any(s.value not in read for s in there if clause >= ends) or (there and within):
            return True
        if clause >= ends and opens < first and may_be_dish((heard.words[opens],), talk.language):
            return True
    return False


def _within(heard: Understanding, at: int, lexicon: Lexicon) -> bool:
    """True for the sugar of "ants in the sugar"."""
    while at and heard.words[at - 1] in lexicon.list("deed_articles"):
        at -= 1
    return at > 1 and heard.words[at - 1] in lexicon.list("prepositions")


def _lasting(talk: Conversation, heard: Heard, each: Report, readings: Readings) -> Outcome:
    """Take a reading with how long it was so; seconds that sound like others are read back first."""
    held_s = readings[0].held_s
    if held_s is not None and not heard.typed and doubles(held_s):
        return recording.confirm(talk, readings)  # fifteen seconds may have been fifty
    core = replace(each.core, meaning=heard.interpretation.meaning)
    taken = recording.take(talk, readings, heard.read_as(readings, core=core))
    return (
        replace(taken, used=taken.used | {i for told in each.told for i in told.words}) if held_s else taken
    )


def _meant_to(talk: Conversation, read: Interpretation) -> bool:
    """True for a number that ought to be there: "the walk-in should say thirty nine".

    Not for "it's forty four, the seal needs to be fixed".
    """
    before = (read.heard.words[max(0, m.start - _THREE) : m.start] for m in read.heard.free_measures)
    return any(talk.interpreter.lexicon.says(words, "wish_to") for words in before)


def told_share(heard: Heard) -> float:
    """Return the net's share of a reading, with what it leaves to those of a kind: cooked, reheated, held."""
    meaning = heard.interpretation.meaning
    read = READ_AS if meaning.best.intent == recording.READING else READ_AS[:1]
    return sum(guess.share for guess in meaning.guesses if guess.intent in read)


def _surely_read(talk: Conversation, heard: Heard) -> bool:
    """True where somebody who talks to the assistant tells a reading, of whatever else the words are."""
    addressed = talk.addressed or talk.state.pending is not None
    return addressed and told_share(heard) >= HALF


def _asked(talk: Conversation, read: Interpretation, best: Report) -> bool:
    """True for a question; a time told with a number, a doubt of it, or nothing beside it takes more for one.

    Nobody who asks says when it was read, "around forty" is read back, and "el caldo está a setenta" tells.
    """
    behind = read.heard.has("note_ask_verdict") and told_first(talk, read.heard)  # "..., is that good"
    plain = best.told or read.heard.has("note_unsure") or behind or _a_number_alone(talk, read)
    return read.heard.asks or read.meaning.share_of("ask", "leave") > (SURELY if plain else HALF)


def told_first(talk: Conversation, heard: Understanding) -> bool:
    """True where a number is told before anything is asked: "soup's at one twenty, what do I do"."""
    lexicon = talk.interpreter.lexicon
    first = next((m.end for m in heard.free_measures if m.kind in READ), 0)
    said = tuple(word for word in heard.words[:first] if word not in lexicon.list("hesitating"))
    asking = lexicon.list("asking")
    supposed = lexicon.says(said, "supposing")
    return bool(said) and said[0] not in asking and not supposed and not set(said) & asking - lexicon.links


def _a_number_alone(talk: Conversation, read: Interpretation) -> bool:
    """True where nothing is said but names, numbers and small words that approve of nothing."""
    heard, lexicon = read.heard, talk.interpreter.lexicon
    names = (span for found in heard.names.values() for span in found)
    return heard.only((*names, *heard.measures), lexicon.links - lexicon.list("approving"))


def sensible(talk: Conversation, readings: Readings) -> bool:
    """True when every number makes sense for its place."""
    kinds = {place: talk.site.kind_of(place) for r in readings for place in (r.subject, r.place)}
    return all(fits_place(reading, kinds) for reading in readings)


def _sensible(talk: Conversation, each: Report) -> bool:
    return any(sensible(talk, option) for option in each.options)


def cooked_or_delivered(talk: Conversation, reading: Reading) -> Outcome:
    """Ask whether raw food read hot is cooking here; nothing is logged before, and a no logs nothing."""
    value = degrees(reading.value, reading.unit or talk.site.kitchen.units)
    text = talk.words("came_hot", food=capital(reading.subject), value=value)
    waiting = Pending("confirm", talk.clock.now(), readings=(reading,))
    return Outcome(Answer("say_again"), recording.READING, text=text, pending=waiting, readings=(reading,))


def _of_a_topic(talk: Conversation, heard: Heard, best: Report) -> bool:
    """True for what another intent has an answer to: food that cools, a yes to a food, a refusal."""
    read, meant = heard.interpretation, heard.interpretation.best
    foods = all(r.subject_kind == "food" for r in best.options[0])
    placed = all(r.place for r in best.options[0])
    if foods and not placed and (_asked(talk, read, best) or best.since is not None):
        return True
    if meant is None or meant.share < HALF:
        return False
    if foods and not placed and meant.intent == DELIVERY:
        arrived = talk.interpreter.lexicon.list("arrived") & set(read.heard.words)
        return bool(arrived) or meant.share >= SURE or not _a_number_alone(talk, read)
    if best.told and meant.intent in REFUSED:
        return True
    if best.has("judge") and meant.share >= SURE and talk.catalogue[meant.intent].topic != "log":
        return True
    lasting = best.since is not None or best.has("since", "held")
    return foods and meant.intent not in READS[:1] and (lasting or (bool(best.told) and not placed))


def _open(talk: Conversation, heard: Heard, best: tuple[Report, ...]) -> Outcome | None:
    """Ask which of several ways was meant, where they differ in what would be logged."""
    now = talk.clock.now()
    ways: dict[tuple[Readings, str], Report] = {}
    for each in best:
        found = when(each.at, now)
        for option in each.options:
            ways.setdefault((tuple(replace(r, place="") for r in option), found.kind + found.iso), each)
    if len(ways) == 1:
        return _one(talk, heard, best[0])
    options = tuple(dict.fromkeys(option for each in best for option in _at(each, when(each.at, now))))
    return recording.ask_which(talk, options) if len(options) > 1 else _one(talk, heard, best[0])


def _one(talk: Conversation, heard: Heard, each: Report) -> Outcome | None:
    found = when(each.at, talk.clock.now())
    if found.kind in ("old", "unclear"):
        return refused(talk, each, found)
    if found.kind == "coming":
        return None
    options = _at(each, found)
    told = heard.interpretation.heard
    core = replace(each.core, meaning=heard.interpretation.meaning)
    heard = heard.read_as(*options, core=core)
    if (changed := effects.apply(talk, heard, each, told)) is not None:
        return changed
    hedged = each.at is not None and each.at.hedged
    unknown = each.loose and (each.between or told_share(heard) < LOOSELY)
    unknown = unknown and not (len(options) == 1 and _rechecked(talk, options[0]))
    if len(options) == 1 and (
        found.others
        or hedged
        or not each.sure
        or _aside_doubts(talk, told, each)
        or unknown
        or may_differ(told)
    ):
        return recording.confirm(talk, options[0])
    return implied.apart(talk, heard) or recording.report(talk, round_talk.refined(talk, heard))


def _aside_doubts(talk: Conversation, told: Understanding, each: Report) -> bool:
    """True for an aside with a number, a name or a "was" of its own, or beside a wish or a condition."""
    aside = {i for mark in each.around if mark.does == "ask" for i in mark.words}
    if not aside:
        return False
    named = {i for spans in told.names.values() for span in spans for i in range(span.start, span.end)}
    lexicon, words = talk.interpreter.lexicon, {told.words[i] for i in aside}
    wished = lexicon.list("wished") - lexicon.list("of_remarks") - lexicon.links
    doubts = words & (lexicon.list("points_other") | lexicon.list("gauges")) or {*told.words} & wished
    was = words & lexicon.list("past_only") and words & lexicon.list("still_it")
    return bool(aside & named or doubts or was) or any(told.numbers_from(i) for i in aside)


def _rechecked(talk: Conversation, readings: Readings) -> bool:
    """True for what waits for its number: "chicken's back on, one sixty eight now" after it was not done."""
    waits = {topic.name for topic in topics(talk) if topic.waits}
    return talk.addressed and len(readings) == 1 and readings[0].subject in waits


def _at(each: Report, found: When) -> tuple[Readings, ...]:
    """Return the options of a report with the time on those readings that it was told of."""
    return tuple(
        tuple(replace(r, said_at=found.iso if i in of else "") for i, r in enumerate(option))
        for option, of in zip(each.options, each.of, strict=True)
    )


def refused(talk: Conversation, each: Report, found: When) -> Outcome:
    """Say that nothing is back-dated, and offer a note of what was missed."""
    places = tuple(dict.fromkeys(r.place or r.subject for r in each.options[0]))
    clocks = (found.at.strftime("%H:%M"),) if found.at is not None else ()
    return talk.ask(talk.request(BACKDATE, Slots(places=places, clocks=clocks)))
