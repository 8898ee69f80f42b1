"""Readings said without their place: "strip says two hundred", "final rinse one eighty four".

What was measured tells which kinds of place it can be. The only one, or the one just talked about, is
taken and named in the call-back; otherwise the place is asked for.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.answer import Answer
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.state import Pending
from assistant.site import Equipment
from intents.mentions import Understanding
from intents.ranges import label_range
from intents.readings import Reading, ReadingParse

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_STRIPS = ("sanitizer_bucket", "sanitizer_sink", "dish_machine_chemical")
_IMPLIED = (
    ("strip_word", _STRIPS),
    ("unit_ppm", _STRIPS),
    ("chlorine_word", _STRIPS),
    ("quat_word", _STRIPS),
    ("iodine_word", _STRIPS),
    ("measured_final rinse", ("dish_machine_hot",)),
    ("measured_surface", ("dish_machine_hot",)),
    ("wash_tank_only", ("dish_machine_hot", "dish_machine_chemical")),
    ("wash_water_word", ("wash_sink", "dish_machine_hot", "dish_machine_chemical")),
    ("measured_ice water", ("probe",)),
    ("measured_boiling water", ("probe",)),
)
"""What was measured, and the kinds of place where it is."""
_KINDS = {"chlorine_word": "chlorine", "quat_word": "quat", "iodine_word": "iodine"}


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the outcome for a reading whose place was not said; ``None`` when it is no such reading."""
    read = heard.interpretation.heard
    if not read.words or label_range(read.words, talk.interpreter.lexicon) is not None:
        return None
    if read.names.get("equipment"):
        both = _and_named(talk, read)
        whole = replace(heard.interpretation, readings=ReadingParse(both))
        return recording.report(talk, replace(heard, interpretation=whole)) if both else None
    items = _candidates(talk, read)
    named_kind = {i for s in read.concepts if s.value in _KINDS for i in range(s.start, s.end)}
    text = " ".join(word for i, word in enumerate(read.words) if i not in named_kind)
    options = [(item.id, parsed) for item in items if (parsed := _parsed(talk, item.id, text))]
    if not options:
        return None
    just = _just_talked_about(talk)
    named = [(place, parsed) for place, parsed in options if just in (place, *_numbered(talk, place))]
    if named and just:
        return recording.take(talk, _parsed(talk, just, text), heard)
    if len(options) == 1:
        return recording.take(talk, options[0][1], heard)
    return _ask(talk, [place for place, _ in options], text)


def _and_named(talk: Conversation, read: Understanding) -> tuple[tuple[Reading, ...], ...]:
    """Read "final rinse one eighty one and quat bucket two hundred": the first without its place.

    Returns every way in which the rest reads.
    """
    for at, word in enumerate(read.words):
        if word not in talk.interpreter.lexicon.list("joins") or not 0 < at < len(read.words) - 1:
            continue
        first, rest = (" ".join(part) for part in (read.words[:at], read.words[at + 1 :]))
        named = talk.interpreter.interpret(rest).readings.options
        begun = talk.interpreter.interpret(first).heard
        implied = [parsed for item in _candidates(talk, begun) if (parsed := _parsed(talk, item.id, first))]
        if len(implied) == 1 and named and not begun.names.get("equipment"):
            return tuple((*implied[0], *option) for option in named)
    return ()


def _candidates(talk: Conversation, read: Understanding) -> list[Equipment]:
    kinds = next((kinds for concept, kinds in _IMPLIED if read.has(concept)), ())
    said = {kind for concept, kind in _KINDS.items() if read.has(concept)}
    return [
        item
        for item in talk.site.equipment
        if item.kind in kinds
        and (not said or ((product := talk.site.product_of(item.id)) is not None and product.kind in said))
    ]


def _parsed(talk: Conversation, place: str, text: str) -> tuple[Reading, ...]:
    return talk.interpreter.answer_for("equipment", place, text).certain


def _numbered(talk: Conversation, place: str) -> tuple[str, ...]:
    item = talk.site.equipment_by_id(place)
    return tuple(f"{place} {n}" for n in item.numbers) if item else ()


def _just_talked_about(talk: Conversation) -> str:
    """Return the place of the last reading or question of this conversation, if it is recent."""
    if not talk.state.recent(talk.clock.now()):
        return ""
    lines = [talk.log.views.line(number) for number in talk.state.last_reading_ids]
    subjects = [line.now.subject for line in lines if line is not None]
    request = talk.state.last_request
    return (request.slots.places[-1] if request and request.slots.places else "") or next(
        reversed(subjects), ""
    )


def _ask(talk: Conversation, places: list[str], text: str) -> Outcome:
    """Ask which place; any numbered one may be the answer."""
    every = [name for place in places for name in (place, *_numbered(talk, place))]
    options = tuple(parsed for name in every if (parsed := _parsed(talk, name, text)))
    waiting = Pending("choose", talk.clock.now(), options=options)
    between = any(reading.bound == "between" for option in options for reading in option)
    known = "which_place_between" in talk.catalogue[recording.READING].replies
    reply = "which_place_between" if between and known else "which_place"
    return Outcome(Answer(reply), recording.READING, pending=waiting)
