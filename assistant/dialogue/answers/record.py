"""Answers that keep the record honest: no back-dating, no made-up readings, sign-off, discards."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue.answer import Answer, Request, Value, answers
from assistant.dialogue.days import span_of
from assistant.dialogue.moments import past_moment, shown_time
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter


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
    if request.views is None:
        return Answer("no_log")
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
        "day": day[:1].upper() + day[1:],
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
    amount = _amount(request)
    if not slots.has(THROWN, "yes"):  # an amount of food alone was thrown out by nobody
        return Answer("no" if slots.has("no") else "ask_thrown", ask="" if slots.has("no") else "yes_no")
    if not amount and food:
        return Answer("ask_amount", {"food": food}, ask="volume|weight|number|container_word|half_word")
    draft = Draft(kind="discard", subject=food or "food", item=food, amount=amount)
    if food:
        return Answer("logged_food", {"amount": amount, "food": food}, drafts=(draft,))
    return Answer("logged", {"what": amount}, drafts=(draft,))


def _amount(request: Request) -> str:
    """Return the words of the amount: from the verb to the food, without the verb; else what was measured."""
    words = request.slots.words
    start = max((at for at, concept in request.slots.concept_order if concept == "threw_out"), default=-1)
    told = request.slots.all_measures("weight", "volume")
    measured = next((f"{m.value} {m.unit}s" for m in told if m.unit), "")
    if start < 0 or not request.slots.food_spans:
        told_now = start < 0 and not request.slots.has("yes")
        return measured or (" ".join(words) if told_now else "")
    first = next((a for a, _ in request.slots.food_spans if a > start), len(words))
    said = [word for word in words[start:first] if word not in _VERBS]
    if said in ([], ["of"]):
        return measured or _told_after(request)
    return " ".join(said).removesuffix(" of").removesuffix(" de").strip()


def _told_after(request: Request) -> str:
    """Return "half a pan" of "tossed the tuna salad, about half a pan"."""
    slots = request.slots
    end = slots.food_spans[-1][1]
    held = [at for at, concept in slots.concept_order if concept in ("container_word", "half_word")]
    told = slots.words[end:]
    while told and told[0] in _BEFORE_AN_AMOUNT:
        told = told[1:]
    return " ".join(told) if any(at >= end for at in held) else ""


_BEFORE_AN_AMOUNT = frozenset("about like around maybe roughly the".split())
_VERBS = frozenset(
    "threw out away thrown tossed dumped discarded binned chucked pitched trashed throwing tossing "
    "dumping log a discard the some "
    "tire tiramos tiro tiraron se anota que la el los las eche basura botamos bote tuve tuvimos tirar".split()
)
