"""Reports and corrections of readings: judge, perhaps ask first, build the entries and the call-back."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta

from assistant.dialogue import batches, called, candidates, cooked_before, moves, refusals, which_place
from assistant.dialogue.amend import Amendment
from assistant.dialogue.answer import Answer, Value, capital
from assistant.dialogue.called import may_be_article, may_be_time, rival_asks
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.gate import Passage, after_doubtful_word, fits_place, passage, undoubted, unit_unsaid
from assistant.dialogue.hearing import Heard
from assistant.dialogue.judge import Judged, judge_all, judge_reading
from assistant.dialogue.outcome import Outcome, worst
from assistant.dialogue.record import (
    digits_text,
    drafts_for,
    held_text,
    limits_of,
    reading_draft,
    reply_for,
    rule_text,
    time_text,
)
from assistant.dialogue.say import fill, worded
from assistant.dialogue.slots import FELL, Slots
from assistant.dialogue.state import Pending
from assistant.dialogue.withdrawing import CORRECTION, withdraw
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.standing import DELIVERY
from assistant.logbook.views import Line
from assistant.rules.basis import Verdict
from intents.mentions import Measure
from intents.number_roles import may_differ
from intents.readings import Reading

READING = "reading"
_STILL_MEANT = timedelta(minutes=30)
"""A place read so long ago may be meant by a correction that names it and brings a number (judgement)."""
_LAST_ASKS = re.compile(r"(?<=[.!])\s[^.!?]*\?$")
"""A question at the end of a call-back, which is not asked where nothing is logged."""
FOOD_PLACES = (
    "place|place_hot|as_hot|hot_holding|place_cold|place_freezer|as_cold|cool|cooling_is|cook|unknown_time"
)
"""What answers "is it cooking, hot holding or cold?"."""


def report(talk: Conversation, heard: Heard) -> Outcome:
    """Handle an utterance that reads as one or more readings."""
    options = heard.interpretation.readings.options
    if len({tuple(replace(r, place="") for r in option) for option in options}) == 1:
        # "Gravy one fifty on the steam table, mash one forty": the place is that of the number before it.
        options = (min(options, key=lambda option: [not r.place for r in option]),)
    options, which = which_place.between(talk, options)
    if which is not None:
        return _sure_part(talk, options, heard) or which
    if len(options) > 1:
        return _sure_part(talk, options, heard) or ask_which(talk, options)
    return take(talk, options[0], heard)


def _sure_part(talk: Conversation, options: tuple[tuple[Reading, ...], ...], heard: Heard) -> Outcome | None:
    """Log what every way of reading a breath has in common, and ask about the rest."""
    sure = tuple(reading for reading in options[0] if all(reading in option for option in options))
    rest = tuple(tuple(reading for reading in option if reading not in sure) for option in options)
    if not sure or not all(rest):
        return None
    taken, asked = take(talk, sure, heard), which_place.between(talk, rest)[1] or ask_which(talk, rest)
    if not taken.own_drafts:
        return None
    assert asked.pending is not None
    waiting = replace(asked.pending, readings=sure)
    return replace(taken, text=f"{talk.rendered(taken)} {asked.text}", pending=waiting)


def take(talk: Conversation, readings: tuple[Reading, ...], heard: Heard) -> Outcome:
    """Log ``readings`` at once when the gate lets them pass, else ask."""
    readings = which_place.filled_in(talk, readings)
    readings = which_place.served(talk, readings, heard.interpretation.heard.words)
    readings = cooked_before.dropped(talk, readings, heard.interpretation.heard)
    if (which := batches.asked(talk, readings)) is not None:
        return which
    if options := batches.or_of_place(talk, readings, heard.interpretation.heard):
        return ask_which(talk, options)
    kinds = {place: talk.site.kind_of(place) for r in readings for place in (r.subject, r.place)}
    gate = passage(heard, readings, kinds)
    doubted = rival_asks(talk, heard) or after_doubtful_word(heard) or may_be_time(talk, readings, heard)
    doubted = doubted or may_be_article(talk, readings, heard)
    doubted = doubted or unit_unsaid(heard, readings, talk.site.kitchen.units)
    if gate is Passage.LOG and doubted:
        gate = Passage.ASK
    asked_for = bool(talk.state.asked_place) and readings[0].subject == talk.state.asked_place
    if gate is Passage.LOG and not asked_for:
        overheard = not talk.addressed and not talk.state.asked_place
        first = heard.interpretation.heard.words[:1]
        short = overheard and bool(talk.interpreter.in_short(first))
        if overheard and which_place.guests(talk, heard.interpretation.heard.words) & {
            r.place or r.subject for r in readings
        }:
            return Outcome(None, "", keep_context=True)
        may_be = called.may_be_order(heard, readings, talk.interpreter.lexicon, in_short=short)
        gate = Passage.ASK if may_be else gate
    if gate is Passage.SAY_AGAIN:
        return Outcome(Answer("say_again"), READING, readings=readings)
    said = heard.interpretation.heard
    if gate is Passage.ASK or may_differ(said):
        return confirm(talk, readings)
    if not said.has("note_unsure"):
        return log_whole(talk, readings)
    sure = undoubted(said, readings)
    sure = () if which_place.asked(talk, sure) else sure
    asked = confirm(talk, tuple(each for each in readings if each not in sure))
    return _with_asked(log(talk, sure), asked) if sure else asked


def _with_asked(taken: Outcome, asked: Outcome) -> Outcome:
    """Return what is logged with the question about the rest behind it."""
    text = f"{without_question(taken.text or '')} {asked.text}"
    return replace(taken, text=text, pending=asked.pending)


def log_whole(talk: Conversation, readings: tuple[Reading, ...]) -> Outcome:
    """Log readings whose places are told whole; ask for the number of one that is not."""
    unnumbered = which_place.asked(talk, readings)
    if unnumbered is None:
        return log(talk, readings)
    sure, asked = unnumbered
    if not sure or asked.pending is None:
        return asked
    taken = _with_asked(log(talk, sure), asked)
    return replace(taken, pending=replace(asked.pending, readings=sure))


def log(talk: Conversation, readings: tuple[Reading, ...]) -> Outcome:
    """Return the outcome that logs ``readings`` and calls them back."""
    cooling, rest = batches.split(talk, readings)
    if cooling:
        return batches.joined(talk, cooling, log(talk, rest) if rest else None, readings)
    if (chilled := batches.chilled(talk, readings)) is not None:
        return chilled
    items = judge_all(readings, talk.site)
    lines = [call_back(talk, item) for item in items if item.spoken]
    sources = tuple(source for item in items for source in item.judgement.citations)
    return Outcome(
        Answer("pass", sources=sources),
        READING,
        talk.request(READING, Slots()),
        " ".join(lines),
        drafts_for(items, talk.site),
        pending=_since_when(talk, items),
        own_verdict=worst(item.judgement.verdict for item in items),
        readings=readings,
    )


def _since_when(talk: Conversation, items: list[Judged]) -> Pending | None:
    """Wait for "two hours" after a food was found out of temperature and the call-back asked since when."""
    failed = [item for item in items if item.judgement.verdict is Verdict.FAIL]
    if len(items := failed if len(items) > 1 else items) != 1:  # of several in one breath, what failed
        return None
    item = items[0]
    if item.judgement.action == "check_frozen_solid":
        request = talk.request("frozen_check", Slots(places=(item.reading.place or item.reading.subject,)))
        return Pending("slot", talk.clock.now(), "yes_no|soft_word|solid_word", request)
    if item.topic == "food" and item.judgement.reason in ("place_not_said", "neither", "kept"):
        said = Measure("temperature", (item.reading.value,), item.unit, 0, 0)
        request = talk.request("food_place", Slots(foods=(item.reading.subject,), measures=(said,)))
        return Pending("slot", talk.clock.now(), FOOD_PLACES, request)
    if (item.judgement.action != "ask_since_when" and item.topic != "cold") or item.judgement.passed:
        return None
    food = (item.reading.subject,) if item.reading.subject_kind == "food" else ()
    limits = item.judgement.limits
    fell = frozenset({FELL} if limits is not None and limits.low is not None else ())
    request = talk.request("time_out", Slots(foods=food, concepts=fell))
    return Pending("slot", talk.clock.now(), "duration|clock|unknown_time", request)


def judge_only(talk: Conversation, readings: tuple[Reading, ...], *, offer: bool = False) -> Outcome:
    """Answer "is the walk-in ok at forty three": judged, not logged; ``offer``: asked whether to."""
    items = judge_all(readings, talk.site)
    text = " ".join(_judged_aloud(talk, item) for item in items if item.spoken)
    offered = offer_of(talk, readings) if offer else None
    text += f" {offered.text if offered is not None else talk.catalogue[READING].replies['dropped']}"
    sources = tuple(source for item in items for source in item.judgement.citations)
    answer, verdict = Answer("pass", sources=sources), worst(item.judgement.verdict for item in items)
    if offered is not None:
        return replace(offered, answer=answer, text=text, own_verdict=verdict)
    kept = {"judged": readings}
    return Outcome(
        answer,
        READING,
        None,
        text,
        own_verdict=verdict,
        readings=readings,
        changes=kept,
    )


def _judged_aloud(talk: Conversation, item: Judged) -> str:
    """Return what is said of a number that is not logged: its verdict, or place and number alone."""
    if item.judgement.verdict is Verdict.CANNOT_JUDGE:
        return f"{_plainly(talk, item)}."
    return without_question(call_back(talk, item))


def offer_of(talk: Conversation, readings: tuple[Reading, ...]) -> Outcome:
    """Ask whether to log what was only judged."""
    waiting = Pending("confirm", talk.clock.now(), readings=readings)
    text = talk.catalogue[READING].replies["offer"]
    return Outcome(Answer("pass"), READING, None, text, pending=waiting, readings=readings)


def without_question(text: str) -> str:
    """Return a call-back without the question at its end."""
    return _LAST_ASKS.sub("", text)


def call_back(talk: Conversation, item: Judged) -> str:
    """Return place, number and verdict in one breath."""
    template, values = reply_for(item, talk.catalogue[READING], talk.site)
    return fill(template, worded(values, talk.catalogue))


def confirm(talk: Conversation, readings: tuple[Reading, ...]) -> Outcome:
    """Read numbers back digit by digit and wait for a yes."""
    if options := batches.or_of_place(talk, readings):
        return ask_which(talk, options)
    text = fill(talk.catalogue[READING].replies["confirm"], {"list": plainly(talk, readings)})
    waiting = Pending("confirm", talk.clock.now(), readings=readings)
    asked = talk.state.asked_place  # what is read back is of that place: no other number is, meanwhile
    changes = {"asked_place": ""} if any(reading.subject == asked for reading in readings) else {}
    return Outcome(
        Answer("confirm"), READING, None, text, pending=waiting, readings=readings, changes=changes
    )


def plainly(talk: Conversation, readings: tuple[Reading, ...]) -> str:
    """Return each place or food and its number as they are read back."""
    subjects = [reading.subject for reading in readings]
    items = judge_all(readings, talk.site)
    return ". ".join(_plainly(talk, item, placed=subjects.count(item.reading.subject) > 1) for item in items)


def _plainly(talk: Conversation, item: Judged, *, placed: bool = False) -> str:
    """Return place and number as they are read back; ``placed``: of a food with the place that it is in."""
    replies, key = talk.catalogue[READING].replies, f"confirm_one.{item.topic}"
    values = _digits(talk, item)
    if placed and item.reading.place:
        values |= {"place": f"{values['place']}, {talk.shown(item.reading.place)}"}
    return fill(replies[key if key in replies else "confirm_one"], values)


def _digits(talk: Conversation, item: Judged) -> dict[str, Value]:
    unit = f"°{item.unit}" if item.unit in ("F", "C") else f" {item.unit}"
    unit += f", {held}" if (held := held_text(item.reading)) else ""
    unit += time_text(item.reading)
    name = talk.shown(item.reading.subject)
    values = {"place": capital(name), "number": digits_text(item.reading), "unit": unit}
    return worded(values, talk.catalogue)


def ask_which(talk: Conversation, options: tuple[tuple[Reading, ...], ...]) -> Outcome:
    """Ask which of two ways to hear a breath was meant."""
    replies = talk.catalogue[READING].replies
    texts = []
    for readings in options[:2]:
        items = judge_all(readings, talk.site)
        texts.append(", ".join(fill(replies["choice"], _digits(talk, item)) for item in items))
    text = fill(replies["choose_two"], {"first": texts[0], "second": texts[1]})
    waiting = Pending("choose", talk.clock.now(), options=options)
    return Outcome(Answer("choose_two"), READING, None, text, pending=waiting)


def may_amend(talk: Conversation, amendment: Amendment, *, recent: bool) -> bool:
    """True where what was just logged is meant, or a place with a new number that was read a while ago.

    False for a food that cannot replace the one logged last ("no chicken on that").
    """
    if not recent and (amendment.value is None or _read_before(talk, amendment.place) is None):
        return amendment.changes
    items = [line.now.item for line in talk.standing if amendment.food]
    replaced = len(items) == 1 and bool(items[0]) and amendment.not_food in ("", items[0])
    return replaced or not amendment.food


def amend(talk: Conversation, amendment: Amendment, heard: Heard | None) -> Outcome:
    """Take back or change the reading that waits, or else the one logged last in this conversation."""
    if (waits := candidates.waiting(talk)) and not amendment.takes_back:
        every = [line for line in waits if line.entry.kind == "reading"]
        own = [line for line in every if amendment.place in ("", line.now.place, line.now.subject)]
        return correct(talk, amendment, (own or every)[-1], heard if own else None)
    standing = talk.standing
    if standing and amendment.takes_back:
        return withdraw(talk, standing)
    read = [line for line in standing if line.entry.kind == "reading"]
    if not read and amendment.changes:
        return _of_another(talk, amendment)
    if not read:
        return Outcome(Answer("nothing"), CORRECTION, keep_context=True)
    named = [line for line in read if amendment.place in (line.now.place, line.now.subject)]
    if not named and amendment.value is not None and (before := _read_before(talk, amendment.place)):
        named = [before]  # "no, the reach-in was forty", two readings back
    if amendment.place and amendment.value is not None and not named and not amendment.moves:
        return _of_another(talk, amendment)
    return correct(talk, amendment, (named or read)[-1], heard)


def _of_another(talk: Conversation, amendment: Amendment) -> Outcome:
    """Read back "actually the walk-in is forty" as a reading of the walk-in: nothing else was wrong."""
    readings = talk.interpreter.answer_for("equipment", amendment.place, f"{amendment.value:f}").certain
    return confirm(talk, readings) if readings else Outcome(Answer("say_again"), READING, keep_context=True)


def _read_before(talk: Conversation, place: str) -> Line | None:
    """Return the latest reading of a place, if it was read in this shift's last while."""
    since = talk.clock.now() - _STILL_MEANT
    wanted = Filter(kinds=("reading",), subject=place, since=since, standing_only=True)
    return talk.log.views.latest(wanted) if place else None


def _read_back_so(talk: Conversation, line: Line, reading: Reading, heard: Heard | None) -> Outcome:
    """Return what waits with one of it changed: alone it is logged if ``heard`` is plain, else read back."""
    asked, every = talk.state.pending, candidates.with_change(talk, line, reading)
    plain = asked is not None and not asked.disputed and len(every) == 1
    if heard is None or not plain or which_place.asked(talk, every) is not None:
        return confirm(talk, every)
    return take(talk, every, heard)


def correct(talk: Conversation, amendment: Amendment, line: Line, heard: Heard | None) -> Outcome:
    """Return the correction of one entry, judged anew; asked again where its number was not heard surely."""
    reading = _changed(talk, line, amendment)
    kind = talk.site.kind_of(reading.subject)
    if reading.subject_kind == "equipment" and not kind:
        return Outcome(Answer("nothing"), CORRECTION, keep_context=True)
    kinds = {place: talk.site.kind_of(place) for place in (reading.subject, reading.place)}
    new = amendment.value is not None
    odd = bool(amendment.place) and not fits_place(reading, kinds)  # ppm in a cooler
    if not candidates.is_made(line):
        return _read_back_so(talk, line, reading, heard) if not odd else which_place.which_of_waiting(talk)
    if odd or (new and (heard is None or passage(heard, (reading,), kinds) is not Passage.LOG)):
        return Outcome(Answer("say_again"), READING, keep_context=True)  # a number unsure is never taken
    if line.now.measured == "cooling" and new:
        return batches.corrected(talk, line, reading)
    delivered = line.now.measured == DELIVERY and new and not amendment.place
    if delivered and (kept := refusals.corrected(talk, heard, line, reading)) is not None:
        return kept
    item = judge_reading(reading, talk.site)
    draft = reading_draft(item, talk.site).model_copy(
        update={
            "kind": "correction",
            "refers_to": line.entry.id,
            "verdict": item.judgement.verdict.value,
            "limits": limits_of(item.judgement.limits),
            "rule": rule_text(item.judgement.citations),
        }
    )
    moved = (draft.subject, draft.measured) != (line.now.subject, line.now.measured)
    along = moves.went_along(talk, line.now.place, draft.place)
    drafts: tuple[Draft, ...] = (draft, *along, *(batches.not_open_there(talk, line) if moved else ()))
    if item.judgement.verdict is Verdict.FAIL and (moved or line.now.verdict != "fail"):
        note = item.judgement.action.replace("_", " ")
        opened = Draft(
            kind="action_opened", subject=reading.subject, measured=item.measured, note=note,
            refers_to=line.entry.id,
        )  # fmt: skip
        drafts += (opened,)
    answer = Answer("corrected", {"call_back": call_back(talk, item)}, item.judgement.citations)
    return Outcome(
        answer,
        CORRECTION,
        own_drafts=drafts,
        pending=_since_when(talk, [item]),
        own_verdict=item.judgement.verdict,
        readings=(reading,),
        reading_ids=(line.entry.id,),
    )


def _changed(talk: Conversation, line: Line, amendment: Amendment) -> Reading:
    reading = candidates.as_read(talk, line)
    of_food, place = reading.subject_kind == "food", amendment.place
    return replace(
        reading,
        value=reading.value if amendment.value is None else amendment.value,
        bound=reading.bound if amendment.value is None else "",
        upper=reading.upper if amendment.value is None else None,
        unit=amendment.unit if amendment.unit in ("F", "C") else reading.unit,
        subject=amendment.food or (reading.subject if of_food else place or reading.subject),
        place=(place or reading.place) if of_food else reading.place,
    )
