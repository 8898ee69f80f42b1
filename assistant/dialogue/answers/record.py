"""Answers that keep the record honest: no back-dating, no made-up readings, sign-off, discards."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue.answer import Answer, Request, Value, answers, capital, plain
from assistant.dialogue.moments import past_moment, shown_time, span_of
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from intents.deed_amounts import Item
from intents.deeds import amounts
from intents.lexicon import load_lexicon


@answers("backdate")
def backdate(request: Request) -> Answer:
    """Refuse to back-date; offer a note that the readings were missed, with both times."""
    clocks = request.slots.clocks
    if _says(request, "yes"):
        missed = shown_time(past_moment(clocks[0], request.now)) if clocks else "readings"
        now = shown_time(request.now)
        subject = request.slots.places[0] if request.slots.places else "readings"
        draft = Draft(kind="not_taken", subject=subject, note=f"missed {missed}, said at {now}")
        return Answer("noted", {"time": missed, "now": now}, drafts=(draft,))
    if _says(request, "no"):
        return Answer("left")
    if clocks:
        return Answer("offer", {"time": shown_time(past_moment(clocks[0], request.now))}, ask="yes_no")
    return Answer("offer_plain", ask="yes_no")


def _says(request: Request, word: str) -> bool:
    """True for an answer; not for the "si" of "como si fuera", which belongs to what was wished."""
    heard = request.slots.heard
    if heard is None:
        return request.slots.has(word)
    wished = [s for s in heard.concepts if s.value == "backdate"]
    return any(s.value == word and not any(s.overlaps(w) for w in wished) for s in heard.concepts)


@answers("made_up", "delete")
def refuse(request: Request) -> Answer:
    """Refuse to log what was not measured, and to delete."""
    return Answer("refuse")


@answers("sign_off")
def sign_off(request: Request) -> Answer:
    """Record a review: reviewer, day, time, number of entries, open items."""
    span = span_of(request.slots, request.now)
    day = span.words.removeprefix("on ")
    name = request.slots.people[0] if request.slots.people else request.person
    if not name:
        return Answer("ask_name", {"day": day}, ask="person")
    if request.person not in ("", name):
        return Answer("for_another", {"name": request.person})
    entries = request.views.count(replace(span.filter(), amendments=True))
    still_open = request.views.count(Filter(open=True))
    days = span.first.isoformat() if span.single else f"{span.first.isoformat()} to {span.last.isoformat()}"
    note = f"reviewed {days}: {entries} entries, {still_open} open"
    draft = Draft(kind="review", subject=days, person=name, note=note)
    values: dict[str, Value] = {
        "day": capital(day),
        "name": name,
        "time": shown_time(request.now),
        "entries": entries,
        "open": still_open,
    }
    return Answer("signed", values, drafts=(draft,))


THROWN = "threw_out"
"""The concept of words that tell of throwing out."""


@answers("discard")
def discard(request: Request) -> Answer:
    """Log what was thrown out, with the amount as it was said."""
    slots = request.slots
    food = slots.foods[0] if slots.foods else ""
    told = amount_in(request)
    amount = told.amount
    if not slots.has(THROWN, "yes"):  # an amount of food alone was thrown out by nobody
        return Answer("no" if slots.has("no") else "ask_thrown", ask="" if slots.has("no") else "yes_no")
    if not food:
        return Answer("ask_what", ask="food")
    if not amount:
        return Answer("ask_amount", {"food": food}, ask="volume|weight|number|container_word|half_word")
    draft = Draft(kind="discard", subject=food, item=food, amount=amount)
    return thrown(draft, counted=told.counted)


def thrown(draft: Draft, *, counted: bool) -> Answer:
    """Return the answer that logs a discard; ``counted`` when its amount is a bare number ("two eggs")."""
    values: dict[str, Value] = {"amount": draft.amount, "food": draft.subject}
    return Answer("logged_count" if counted else "logged_food", values, drafts=(draft,))


def amount_in(request: Request) -> Item:
    """Return how much was told, as it was said: of the food named, else what was measured before."""
    slots = request.slots
    slots.usage.note("weight", "volume", "number")
    told = amounts(slots.heard, load_lexicon(slots.language)) if slots.heard is not None else ()
    found = next((item for item in told if item.food in slots.foods[:1]), told[0] if told else Item())
    measured = slots.measure("weight", "volume")
    if found.amount or measured is None:
        return found
    if not measured.unit:
        return replace(found, amount=plain(measured.value), counted=True)
    ending = "" if measured.value == 1 else "s"
    return replace(found, amount=f"{plain(measured.value)} {measured.unit}{ending}", measured=True)
