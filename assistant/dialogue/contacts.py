"""Contact memory: what was told of sinks, boards, tools, gloves and hands, kept in the log and used.

It lasts until the thing is told to be cleaned and sanitized, or a day. What nobody told is not known, and
then the usual answers stand.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from assistant.dialogue.answer import Answer, Request, capital
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.moments import shown_time
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.talking import talks
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.rules.basis import Judgement
from assistant.rules.food_names import find_food
from assistant.rules.foods import Food, unknown_food
from assistant.rules.surfaces import judge_board
from assistant.rules.thawing import sink_between
from intents.mentions import Understanding

LASTS = timedelta(hours=24)
CLEANED = "cleaned and sanitized"
WASHED = "washed"  # of hands, as the hand-wash count logs it
CHANGED = "changed"  # of gloves
THING = "thing"
"""The key of the state's memory for the thing that "there" means."""
TOLD, DONE, ASK = "contact_told", "contact_cleaned", "contact_ask"
_CLEAN_NOTES = (CLEANED, WASHED, CHANGED)


@dataclass(frozen=True)
class Contact:
    """One thing told of a surface: the food that was there (none: it was cleaned), and when."""

    food: str
    at: datetime


def contacts_of(talk: Conversation, thing: str) -> tuple[Contact, ...]:
    """Return what was told of ``thing`` within a day, the newest first, back to its last cleaning."""
    since = talk.clock.now() - LASTS
    wanted = Filter(kinds=("contact", "event"), subject=thing, since=since, standing_only=True)
    lines = talk.log.views.lines(wanted, limit=50, newest_first=True).lines
    found: list[Contact] = []
    for line in sorted(lines, key=lambda line: -line.entry.id):
        entry = line.now
        cleaned = entry.kind == "event" and entry.note in _CLEAN_NOTES
        if cleaned or entry.kind == "contact":
            at = datetime.fromisoformat(entry.said_at or entry.at_local)
            found.append(Contact("" if cleaned else entry.item, at))
        if cleaned:
            break
    return tuple(found)


def things_of(talk: Conversation, read: Understanding) -> tuple[str, ...]:
    """Return the surfaces and tools that were named, each as it was called ("green board", "prep sink")."""
    places = {s.start: s for s in read.names.get("equipment", ())}
    modifiers = talk.interpreter.lexicon.list("thing_modifiers")
    spans = sorted(
        (s for s in read.concepts if s.value == "contact_thing"), key=lambda s: (s.start, -(s.end - s.start))
    )
    found: list[str] = []
    taken = 0
    for span in spans:
        if span.start < taken:
            continue
        taken = span.end
        place = next((p for p in places.values() if p.start <= span.start and span.end <= p.end), None)
        start = span.start
        while start > 0 and read.words[start - 1] in modifiers:
            start -= 1
        found.append(place.value if place else " ".join(read.words[start : span.end]))
    return tuple(dict.fromkeys(found))


@talks(TOLD)
def told(talk: Conversation, request: Request) -> Outcome:
    """Keep what touched what; a question about it, or one that names no thing, gets the safe answer."""
    read = request.slots.heard
    things = things_of(talk, read) if read else ()
    if not things or request.slots.asked:
        return Outcome(Answer("unnamed"), TOLD, request)
    taken = {word for thing in things for word in thing.split()}  # "red" of the red board is no wine
    foods = tuple(food for food in request.slots.foods if food not in taken) or request.slots.foods[:1]
    raw = [food for food in foods if (known := find_food(food)) is None or known.raw_animal]
    drafts = tuple(Draft(kind="contact", subject=thing, item=food) for thing in things for food in foods)
    values = {"food": capital(", ".join(foods)), "thing": ", ".join(talk.shown(thing) for thing in things)}
    key = "noted_raw" if raw else "noted"
    ready = (food for food in foods[foods.index(raw[0]) if raw else len(foods) :] if _eaten_so(_food(food)))
    after = next(ready, "")
    if after:
        key, values["ready"] = "noted_ready", after
    answer = Answer(key, values, drafts=drafts, remember={THING: things[-1]})
    return Outcome(answer, TOLD, request)


@talks(DONE)
def cleaned(talk: Conversation, request: Request) -> Outcome:
    """Take a thing as clean once it was both cleaned and sanitized; gloves once they were changed."""
    slots, read = request.slots, request.slots.heard
    things = things_of(talk, read) if read else ()
    negated = bool(set(slots.words) & talk.interpreter.lexicon.list("negation"))
    if not things or slots.asked:
        return Outcome(Answer("unnamed"), DONE, request)
    if "gloves" in things and not negated:
        draft = Draft(kind="event", subject="gloves", note=CHANGED)
        return Outcome(Answer("gloves", drafts=(draft,), remember={THING: "gloves"}), DONE, request)
    values = {"thing": capital(", ".join(talk.shown(thing) for thing in things))}
    if negated or not slots.has("made_clean"):
        return Outcome(Answer("half", values, remember={THING: things[-1]}), DONE, request)
    drafts = tuple(Draft(kind="event", subject=thing, note=CLEANED) for thing in things)
    return Outcome(Answer("clean", values, drafts=drafts, remember={THING: things[-1]}), DONE, request)


@talks(ASK)
def ask(talk: Conversation, request: Request) -> Outcome:
    """Answer by what was told; about a thing of which nothing was told, the safe answer."""
    thing = _thing_meant(talk, request)
    known = contacts_of(talk, thing) if thing else ()
    if not known:
        return Outcome(Answer("unknown"), ASK, request)
    found = consult(talk, request)
    if found is not None:
        return found
    last = known[0]
    values = {"last": last.food, "Last": capital(last.food), "time": shown_time(last.at)}
    if last.food:
        key = "same" if request.slots.foods else "last"
    else:
        key = f"clean_{thing}" if thing in ("hands", "gloves") else "clean"
    return Outcome(Answer(key, values, remember={THING: thing}), ASK, request)


def _thing_meant(talk: Conversation, request: Request, recalled: bool = True) -> str:
    """Return the thing named; ``recalled``: else the one spoken of last ("can I rinse lettuce there")."""
    read = request.slots.heard
    named = things_of(talk, read) if read else ()
    if named:
        return named[0]
    return talk.state.memory.get(THING, "") if recalled else ""


def consult(talk: Conversation, request: Request, recalled: bool = True) -> Outcome | None:
    """Return the warning that the contact memory gives to a question, or ``None`` if it has none to give.

    What it does not forbid is left to the answer of the topic.
    """
    slots = request.slots
    thing = _thing_meant(talk, request, recalled)
    if not thing or not slots.foods:
        return None
    for contact in contacts_of(talk, thing):
        judged = _judge(thing, contact.food, slots.foods[0]) if contact.food else None
        if judged is not None and not judged.passed:
            values = {"Last": capital(contact.food), "time": shown_time(contact.at)}
            key = f"first_{thing}" if thing in ("hands", "gloves") else "first"
            answer = Answer(key, values, judged.citations, judged.verdict, remember={THING: thing})
            return Outcome(answer, ASK, request)
    return None


def _judge(thing: str, last: str, following: str) -> Judgement:
    before, after = _food(last), _food(following)
    rule = sink_between if thing.endswith("sink") else judge_board
    return rule(before, after)


def _eaten_so(food: Food) -> bool:
    """True for food that gets no more heat, cut salad too: raw juice on it is not cooked away."""
    return not food.raw_animal and food.food_class != "plant_raw_to_cook"


def _food(name: str) -> Food:
    return find_food(name) or unknown_food(name)
