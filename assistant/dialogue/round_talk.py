"""Talk about guided rounds: begin, ask the next place, take a bare number, skip, leave, resume, end.

A place is asked and then waited for; other questions may come in between. Three names at most at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from assistant.dialogue import recording
from assistant.dialogue.answer import Answer, Request, Value, capital
from assistant.dialogue.clocks import cooling_now
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.moments import shown_time
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.rounds import BEGUN, ENDED, LEFT, RESUMED, RoundNow, open_round, round_draft
from assistant.dialogue.say import fill
from assistant.dialogue.slots import Slots
from assistant.dialogue.talking import talks
from assistant.logbook.entry import Draft, Entry
from assistant.logbook.query import Filter
from assistant.rules.basis import Verdict
from assistant.site import Round
from intents.mentions import Understanding
from intents.readings import Reading, ReadingParse
from intents.words import tokenise

NAMED_AT_MOST = 3
"""Places named in one breath to somebody who is working; the rest is counted."""
ASKED_FOR = timedelta(minutes=15)
"""How long a bare number still answers the place that was asked."""
LED_FOR = timedelta(minutes=30)
"""A round that nothing was logged for longer is not led on by a reading; the cook resumes it."""
START = "round_start"
SAID_TO_SOMEBODY = 3
"""Fewer words than this ("next", "carry on") are talk among cooks where no round is running."""


def running(talk: Conversation) -> RoundNow | None:
    """Return the unfinished round of this kitchen, if there is one."""
    now = talk.clock.now()
    return open_round(talk.log.views, talk.site, now, lambda: cooling_now(talk.log.views, now))


def names(talk: Conversation, places: Sequence[str]) -> str:
    """Return at most three names and how many more there are ("third sink, walk-in, freezer and 2 more")."""
    shown = ", ".join(talk.shown(place) for place in places[:NAMED_AT_MOST])
    more = len(places) - NAMED_AT_MOST
    return f"{shown} {talk.words('and_more', count=more)}" if more > 0 else shown


def _asking(talk: Conversation, place: str) -> dict[str, Any]:
    return {"asked_place": place, "asked_at": talk.clock.now()}


def _reply(
    talk: Conversation,
    intent: str,
    key: str,
    values: dict[str, Value] | None = None,
    *,
    drafts: tuple[Draft, ...] = (),
    place: str = "",
) -> Outcome:
    """Return a reply about a round; ``place`` is asked from now on, none if empty."""
    shown: dict[str, Value] = {"place": capital(talk.shown(place))} if place else {}
    answer = Answer(key, {**shown, **(values or {})})
    return Outcome(answer, intent, own_drafts=drafts, keep_context=True, changes=_asking(talk, place))


def _plan(talk: Conversation, name: str) -> Round:
    return next(plan for plan in talk.site.rounds if plan.id == name)


@talks(START)
def start(talk: Conversation, request: Request) -> Outcome | None:
    """Begin a round and ask its first place; a round that was running is left."""
    if request.slots.words[0] in talk.interpreter.lexicon.list("asking"):
        return what_is_left(talk, request)
    plan = _plan(talk, request.slots.rounds[0])
    now = running(talk)
    if now is not None and now.plan.id == plan.id and now.left:
        values: dict[str, Value] = {"round": capital(plan.name), "left": len(now.left)}
        resumed = (round_draft(plan, RESUMED),) if now.paused else ()
        return _reply(talk, START, "already", values, drafts=resumed, place=now.next_after())
    places = cooling_now(talk.log.views, talk.clock.now()) if plan.cooling else plan.places
    if not places:
        return _reply(talk, START, "nothing_cooling")
    left = (round_draft(now.plan, f"{LEFT} with {len(now.left)} left"),) if now and not now.paused else ()
    values = {"round": capital(plan.name), "count": len(places)}
    return _reply(talk, START, "started", values, drafts=(*left, round_draft(plan, BEGUN)), place=places[0])


def what_is_left(talk: Conversation, request: Request) -> Outcome:
    """Name at most three of the places that are left, and count the rest."""
    now = running(talk)
    wanted = next(iter(request.slots.rounds), "")
    if now is None or (wanted and wanted != now.plan.id):
        return _finished(talk, wanted)
    values: dict[str, Value] = {"list": names(talk, now.left), "count": len(now.left)}
    if now.paused:
        values["round"] = capital(now.plan.name)
        return _reply(talk, "round_left", "paused", values)
    outcome = _reply(talk, "round_left", "one" if len(now.left) == 1 else "some", values)
    return replace(outcome, changes={})


def _finished(talk: Conversation, wanted: str) -> Outcome:
    """Tell when a round was ended today."""
    line = talk.log.views.latest(
        replace(Filter.on(talk.clock.now().date()), kinds=("round",), subject=wanted)
    )
    if not wanted or line is None or not line.entry.note.startswith(ENDED):
        return _reply(talk, "round_left", "no_round")
    time = shown_time(datetime.fromisoformat(line.entry.at_local))
    values: dict[str, Value] = {"round": capital(_plan(talk, wanted).name), "time": time}
    return _reply(talk, "round_left", "finished", values)


@talks("round_resume")
def resume(talk: Conversation, request: Request) -> Outcome | None:
    """Ask the next place; "next" goes past the one that was asked."""
    now = running(talk)
    if now is None or not now.left:
        alone = len(request.slots.words) < SAID_TO_SOMEBODY
        return Outcome(None, "", keep_context=True) if alone else _reply(talk, "round_resume", "no_round")
    slots = request.slots
    wanted = next((p for p in (now.serves(place) for place in slots.places) if p), "")
    asked = talk.state.asked_place if talk.state.asked_place in now.left else ""
    on = bool(set(slots.words[:1]) & talk.interpreter.lexicon.list("next"))
    place = wanted or (now.next_after(asked) if on or not asked else asked)
    if now.paused or not talk.state.asked_place:
        values: dict[str, Value] = {"round": capital(now.plan.name), "left": len(now.left)}
        drafts = (round_draft(now.plan, RESUMED),) if now.paused else ()
        return _reply(talk, "round_resume", "resumed", values, drafts=drafts, place=place)
    return _reply(talk, "round_resume", "next", place=place)


@talks("round_leave")
def leave(talk: Conversation, request: Request) -> Outcome:
    """Put a round on hold; nothing is asked until it is resumed."""
    now = running(talk)
    if now is None or now.paused:
        return Outcome(None, "", keep_context=True)
    draft = round_draft(now.plan, f"{LEFT} with {len(now.left)} left")
    return _reply(talk, "round_leave", "left", {"left": len(now.left)}, drafts=(draft,))


def put_off(talk: Conversation, now: RoundNow, others: Sequence[str]) -> Outcome:
    """Leave places for later: another one is asked, or the round waits where none is left but them."""
    if others:
        return _reply(talk, START, "next", place=others[0])
    draft = round_draft(now.plan, f"{LEFT} with {len(now.left)} left")
    return _reply(talk, "round_leave", "left", {"left": len(now.left)}, drafts=(draft,))


def all_told(talk: Conversation) -> Outcome | None:
    """Answer "is that all of it" in a round, or right after one; ``None`` where no round was spoken of."""
    now = running(talk)
    request = talk.request("round_left", Slots())
    if now is not None:
        return what_is_left(talk, request)
    day = replace(Filter.on(talk.clock.now().date()), kinds=("round",))
    line = talk.log.views.latest(day)
    if line is None or not line.entry.note.startswith(ENDED):
        return None
    ended = talk.clock.now() - datetime.fromisoformat(line.entry.at_local)
    return _finished(talk, line.entry.subject) if ended <= ASKED_FOR else None


@talks("round_skip")
def skip(talk: Conversation, request: Request) -> Outcome:
    """Log that a place was not read, and why, if that was said; then ask the next."""
    now = running(talk)
    slots = request.slots
    if now is None:
        silence = Outcome(None, "", keep_context=True)
        return _reply(talk, "round_skip", "no_round") if slots.places else silence
    named = next((p for p in (now.serves(s) for s in (*slots.places, *slots.foods)) if p), "")
    if slots.places and not named:
        return _reply(talk, "round_skip", "not_in_round", {"place": capital(talk.shown(slots.places[0]))})
    place = named or talk.state.asked_place
    if not place:
        return _reply(talk, "round_skip", "which")
    return not_taken(talk, place, reason_of(talk, slots.heard))


def not_taken(talk: Conversation, place: str, reason: str) -> Outcome:
    """Return the outcome that logs a place as not read."""
    draft = Draft(kind="not_taken", subject=place, note=reason or "skipped")
    values: dict[str, Value] = {"place": capital(talk.shown(place)), "reason": reason}
    key = "skipped" if reason else "skipped_plain"
    return Outcome(Answer(key, values), "round_skip", own_drafts=(draft,), keep_context=True)


def reason_of(talk: Conversation, read: Understanding | None) -> str:
    """Return the words that say why: what is left without "skip", the place and small words before it."""
    if read is None:
        return ""
    spans = [s for s in read.concepts if s.value == "skip_place"]
    spans += [s for kind in ("equipment", "food") for s in read.names.get(kind, ())]
    taken = {i for s in spans for i in range(s.start, s.end)}
    rest = [i for i in range(len(read.words)) if i not in taken]
    small = talk.interpreter.lexicon.filler
    while rest and read.words[rest[0]] in small:
        rest.pop(0)
    return " ".join(read.words[i] for i in rest).removeprefix("because ").strip()


@talks("round_end")
def end(talk: Conversation, request: Request) -> Outcome | None:
    """End a round; asked first where places are left, which are then logged as not taken."""
    now = running(talk)
    if now is not None and not now.paused and talk.interpreter.lexicon.says(request.slots.words, "for_later"):
        return leave(talk, request)
    if now is None:
        named = request.slots.rounds or request.slots.has("round_word")
        return _reply(talk, "round_end", "no_round") if named else None
    if request.slots.has("no"):
        return _reply(talk, "round_end", "kept", {"left": len(now.left)}, place=now.next_after())
    if now.left and not request.slots.has("yes"):
        answer = Answer("sure", {"left": len(now.left), "list": names(talk, now.left)}, ask="yes_no")
        return Outcome(answer, "round_end", request, keep_context=True)
    drafts = tuple(Draft(kind="not_taken", subject=place, note="round ended") for place in now.left)
    ended = replace(now, skipped=(*now.skipped, *now.left))
    values = summary(ended)
    return _reply(talk, "round_end", "ended", values, drafts=(*drafts, end_draft(ended)))


def summary(now: RoundNow) -> dict[str, Value]:
    """Return what the last line of a round says."""
    return {
        "round": capital(now.plan.name),
        "read": len(now.done),
        "failed": len(now.failed),
        "skipped": len(now.skipped),
    }


def end_draft(now: RoundNow) -> Draft:
    """Return the entry that ends a round, with its figures in the note."""
    figures = f"{len(now.done)} read, {len(now.failed)} failed, {len(now.skipped)} not taken"
    return round_draft(now.plan, f"{ENDED} {figures}")


def refined(talk: Conversation, heard: Heard) -> Heard:
    """Take "the bucket" as the one asked for just now, and "salad" as the fridge left in the round."""
    at, here = talk.state.asked_at, running(talk)
    asked = talk.state.asked_place if at is not None and talk.clock.now() - at <= ASKED_FOR else ""
    left = here.left if here is not None else ()
    if not asked and not left:
        return heard

    def of_round(reading: Reading) -> Reading:
        if reading.subject_kind == "equipment":
            return replace(reading, subject=asked) if asked.startswith(f"{reading.subject} ") else reading
        words = () if reading.place else tokenise(reading.subject)
        named = {s.value for s in talk.interpreter.in_short(words) if s.end - s.start == len(words)} & {*left}
        if len(named) != 1:
            return reading
        return replace(reading, subject=named.pop(), subject_kind="equipment", measured="")

    return heard.read_as(*(tuple(map(of_round, option)) for option in heard.interpretation.readings.options))


def place_named(talk: Conversation, heard: Heard) -> Outcome | None:
    """Ask a place of the running round that the cook names without a number ("low-boy two")."""
    read = heard.interpretation.heard
    asked_at = talk.state.asked_at
    if not read.names.get("equipment") or asked_at is None or talk.clock.now() - asked_at > ASKED_FOR:
        return None
    here = running(talk)
    named = _place_alone(talk, read, here) if here is not None and not here.paused else ""
    return _reply(talk, START, "next", place=named) if named else None


def answered(talk: Conversation, heard: Heard) -> Outcome | None:
    """Take what answers the asked place: a bare number, or "it's broken"."""
    state, now = talk.state, talk.clock.now()
    if state.asked_at is None or now - state.asked_at > ASKED_FOR:
        return None
    here = running(talk)
    if here is None or here.paused:
        return None
    if not state.asked_place:
        return _reply(talk, START, "which_place") if _number_alone(talk, here, heard) else None
    parse = _as_answer(talk, here, state.asked_place, heard)
    if not parse.options:
        return None
    return recording.report(talk, heard.read_as(*parse.options))


def _as_answer(talk: Conversation, now: RoundNow, place: str, heard: Heard) -> ReadingParse:
    kind = "food" if now.plan.cooling else "equipment"
    parse = talk.interpreter.answer_for(kind, place, talk.without_wake(heard.text))
    if parse.options:
        return parse
    read, small = heard.interpretation.heard, talk.interpreter.lexicon.list("said_after")
    end = len(read.words)
    while end and read.words[end - 1] in small:  # "thirty eight point five, yeah"
        end -= 1
    alone = {*read.words[:1]} & talk.interpreter.lexicon.list("hundred_alone")
    text = f"1 {read.part(range(end))}" if alone else read.part(range(end))  # "hundred and one"
    return talk.interpreter.answer_for(kind, place, text) if end else parse


def _number_alone(talk: Conversation, now: RoundNow, heard: Heard) -> bool:
    return any(_as_answer(talk, now, place, heard).options for place in now.places)


def _place_alone(talk: Conversation, read: Understanding, now: RoundNow) -> str:
    spans = read.names.get("equipment", ())
    if len(spans) != 1 or not read.only(spans, talk.interpreter.lexicon.filler):
        return ""
    place, asked = now.serves(spans[0].value), talk.state.asked_place
    return asked if not place and asked.startswith(f"{spans[0].value} ") else place


def lead_on(
    talk: Conversation, outcome: Outcome, entries: tuple[Entry, ...], answered_one: bool
) -> tuple[Outcome, tuple[Draft, ...]]:
    """Add to an outcome what the round says next; also returns the entry that ends it, if it is over.

    ``answered_one`` tells that the turn answered a question of the assistant.
    """
    touched = [e for e in entries if e.kind in ("reading", "not_taken", "withdrawal", "correction")]
    if outcome.pending is not None and touched:
        return replace(outcome, changes={**outcome.changes, "asked_place": ""}), ()
    led = touched or (answered_one and not outcome.changes.get("asked_place"))
    if outcome.pending is not None or not led or outcome.answer is None:
        return outcome, ()
    now = running(talk)
    waits = now is None or (now.paused and now.left) or talk.clock.now() - now.last_at > LED_FOR
    if now is None or waits or not _concerns(now, touched):
        return outcome, ()
    replies = talk.catalogue[START].replies
    if now.left and outcome.own_verdict is Verdict.FAIL:
        return _with(talk, outcome, replies["after_fail"], ""), ()
    if now.left:
        place = now.next_after(_last_place(now, touched))
        text = fill(replies["next"], {"place": capital(talk.shown(place))})
        return _with(talk, outcome, text, place), ()
    key = "done" if now.failed or now.skipped else "done_clean"
    return _with(talk, outcome, fill(replies[key], summary(now)), ""), (end_draft(now),)


def _concerns(now: RoundNow, touched: list[Entry]) -> bool:
    return not touched or any(now.serves(entry.subject) for entry in touched)


def _last_place(now: RoundNow, touched: list[Entry]) -> str:
    taken_back = any(entry.kind == "withdrawal" for entry in touched)
    return "" if taken_back or not touched else now.serves(touched[-1].subject)


def _with(talk: Conversation, outcome: Outcome, text: str, place: str) -> Outcome:
    said = talk.rendered(outcome)
    return replace(
        outcome, text=f"{said} {text}".strip(), changes={**outcome.changes, **_asking(talk, place)}
    )
