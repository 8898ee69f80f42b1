"""What modifiers do to a report beside reading it back: a bound, a bad gauge, a fresh bucket, soft food."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.answer import Answer, capital
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.core import Readings, Report
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import Pending
from assistant.dialogue.which_place import say_again
from intents.mentions import Understanding

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_CLOCK = "clock_bucket"
_BUCKET = "sanitizer_bucket"
_FREEZER = "freezer"


def apply(talk: Conversation, heard: Heard, each: Report, told: Understanding) -> Outcome | None:
    """Return the outcome of a report whose modifiers change it; ``None`` leaves it to be taken as it is.

    ``heard`` is its core, ``told`` the whole utterance.
    """
    readings = heard.interpretation.readings.options[0]
    if each.has("gauge"):
        return _asked(talk, readings, "other_gauge")
    if each.has("exact"):
        return _exact(talk, heard, each, readings, told)
    if each.has("fresh"):
        return _fresh(talk, heard, readings)
    if each.has("held") and all(r.subject_kind == "food" for r in readings):
        shown = tuple(replace(r, displayed=not r.place) for r in readings)
        return recording.take(talk, shown, heard.read_as(shown))
    if each.has("soft", "solid"):
        return _frozen(talk, heard, readings, soft=each.has("soft"))
    return None


def _asked(talk: Conversation, readings: Readings, reply: str) -> Outcome | None:
    """Ask for the number of one place anew."""
    if len(readings) != 1:
        return say_again()
    name = talk.shown(readings[0].subject)
    waiting = Pending("value", talk.clock.now(), readings=readings)
    return Outcome(Answer(reply, {"place": capital(name)}), recording.READING, pending=waiting)


def _exact(
    talk: Conversation, heard: Heard, each: Report, readings: Readings, told: Understanding
) -> Outcome | None:
    """Ask for the number of which only a bound was said, and log the others of the same breath."""
    mark = next(m for m in each.around if m.does == "exact")
    after = [m for m in told.free_measures if m.start >= mark.head]
    before = [m for m in told.free_measures if m.end <= mark.start]
    bound = {m.value for m in (after[:1] if mark.end == mark.head else before[-1:])}
    near = tuple(r for r in readings if r.value in bound or len(readings) == 1)
    if len(near) != 1:
        return say_again()
    asked = _asked(talk, near, "exact")
    others = tuple(r for r in readings if r not in near)
    taken = recording.take(talk, others, heard.read_as(others)) if others else None
    if asked is None or taken is None or not taken.own_drafts:
        return asked
    return replace(taken, text=f"{taken.text} {talk.rendered(asked)}", pending=asked.pending)


def _fresh(talk: Conversation, heard: Heard, readings: Readings) -> Outcome | None:
    """Start the clock of a fresh bucket with its reading."""
    places = {r.subject for option in heard.interpretation.readings.options for r in option}
    if any(talk.site.kind_of(place) != _BUCKET for place in places):
        return None
    taken = recording.report(talk, heard)
    if len(places) != 1 or not taken.own_drafts:
        return taken
    begun = replace(talk.request(_CLOCK, Slots(places=tuple(places))), said_at=readings[0].said_at)
    started = talk.ask(begun)
    return replace(taken, own_drafts=(*started.drafts, *taken.own_drafts))


def _frozen(talk: Conversation, heard: Heard, readings: Readings, *, soft: bool) -> Outcome | None:
    """Judge a freezer by how its food feels, too."""
    if len(readings) != 1 or talk.site.kind_of(readings[0].subject) != _FREEZER:
        return None
    felt = (replace(readings[0], frozen_solid=not soft),)
    return recording.take(talk, felt, heard.read_as(felt))
