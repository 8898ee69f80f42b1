"""A reading told with a remark about the gear, or of food that may have been cooling or held hot.

"Walk-in forty two, nobody closed the lid" is read back before it is logged: the remark is not understood.
"The gravy's down to one twenty and it's been an hour" may be cooling or hot holding: logged, then asked.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.statements import asks
from assistant.rules.basis import Temperature
from intents.mentions import Measure, Understanding
from intents.readings import Reading, ReadingParse

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_COOLS = ("cool", "cooling_is", "cooling_state", "still_cooling", "missed_cool", "ice_bath")
_NEAR_HOT = 100
"""Fahrenheit; a food this hot that has "been an hour" may as well be held hot as cooling: judgement."""
_STILL_WARM = 95
"""Fahrenheit; from here to the hot holding limit a food "down to" a number may cool or be held: judgement."""


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the outcome of either kind of report; ``None`` when it is neither."""
    read = heard.interpretation.heard
    if asks(read) or heard.interpretation.readings.options:
        return None
    return (
        _fallen(talk, heard, read)
        or _was_and_is(talk, heard, read)
        or _with_gear(talk, heard, read)
        or _with_aside(talk, heard, read)
    )


def _fallen(talk: Conversation, heard: Heard, read: Understanding) -> Outcome | None:
    """Take "down to one twenty" of a food as read, without guessing that it cools."""
    foods = read.names.get("food", ())
    numbers = [m for m in read.free_measures if m.kind in ("number", "temperature")]
    times = [m for m in read.free_measures if m.kind == "duration"]
    if len(foods) != 1 or len(numbers) != 1 or len(times) != 1 or not _may_be_held(talk, read, numbers[0]):
        return None
    if len(numbers[0].options) != 1 or read.has("save_word", *_COOLS):
        return None
    if times[0].start and read.words[times[0].start - 1] in talk.interpreter.lexicon.list("at"):
        return None  # "down to ninety at two hours" tells of cooling
    unit = numbers[0].unit or talk.site.kitchen.units
    value = Temperature(numbers[0].value, "C" if unit == "C" else "F")
    hot = talk.site.profile.limit("hot_holding_min")
    if (
        not _STILL_WARM
        < value.in_unit("F")
        < Temperature(hot.value, "C" if hot.unit == "C" else "F").in_unit("F")
    ):
        return None
    named = [s.value for s in read.names.get("equipment", ())]
    place = named[0] if len(named) == 1 else ""
    reading = Reading(foods[0].value, "food", numbers[0].value, "temperature", unit, "food", place, kept=True)
    return recording.take(talk, (reading,), _as(heard, (reading,)))


def _may_be_held(talk: Conversation, read: Understanding, number: Measure) -> bool:
    """True for "down to one twenty", and for "at one thirty but it's only been an hour", still near hot."""
    if read.has("fell_word"):
        return True
    unit = number.unit or talk.site.kitchen.units
    near = Temperature(number.value, "C" if unit == "C" else "F").in_unit("F") >= _NEAR_HOT
    return near and "been" in read.words[number.end :]


def _was_and_is(talk: Conversation, heard: Heard, read: Understanding) -> Outcome | None:
    """Read back the number of now of "reach-in was forty three when I came in, forty now"."""
    places, numbers = read.names.get("equipment", ()), read.free_measures
    lexicon = talk.interpreter.lexicon
    if len(places) != 1 or read.names.get("food") or len(numbers) < 2 or numbers[0].kind == "duration":
        return None
    first, second = numbers[:2]
    if not lexicon.list("told_before") & set(read.words[: first.start]) or second.kind == "duration":
        return None
    shown_now = lexicon.list("told_now") & set(read.words[first.end :])
    said = " ".join(read.words[second.start : second.end])
    named = talk.interpreter.answer_for("equipment", places[0].value, said).certain if shown_now else ()
    later = all(m.kind == "duration" for m in numbers[2:])
    return recording.confirm(talk, named) if later and len(named) == 1 and _agreed(heard, named) else None


def _with_gear(talk: Conversation, heard: Heard, read: Understanding) -> Outcome | None:
    """Read back a place and number before a remark that only tells of a lid, a door or a fan."""
    best = heard.interpretation.best
    if len(read.free_measures) != 1 or read.names.get("food") or (best and best.intent != "reading"):
        return None
    if not read.has("gear_part") or read.has("not_now") or len(read.names.get("equipment", ())) != 1:
        return None
    place, number = read.names["equipment"][0], read.free_measures[0]
    if place.end <= number.start and number.end == len(read.words):  # "fan's out on the reach-in, forty four"
        said = " ".join(read.words[number.start :])
        named = talk.interpreter.answer_for("equipment", place.value, said).certain
        return recording.confirm(talk, named) if named and _agreed(heard, named) else None
    for at in range(len(read.words) - 1, 1, -1):
        readings = talk.interpreter.interpret(" ".join(read.words[:at])).readings.certain
        if len(readings) != 1 or readings[0].subject_kind != "equipment":
            continue
        opened = set(read.words[at : at + 2]) & talk.interpreter.lexicon.list("remark_openers")
        return recording.confirm(talk, readings) if opened and _agreed(heard, readings) else None
    return None


def _with_aside(talk: Conversation, heard: Heard, read: Understanding) -> Outcome | None:
    """Read back a place and number before "but the other one is warm", an aside without a number."""
    lexicon = talk.interpreter.lexicon
    at = next((i for i, word in enumerate(read.words) if word in lexicon.list("asides")), 0)
    if not at or lexicon.list("takes_back") & set(read.words[at:]):
        return None
    readings = talk.interpreter.interpret(" ".join(read.words[:at])).readings.certain
    before = lexicon.list("past_only") & set(read.words[at:]) and lexicon.list("ago") & set(read.words[at:])
    if not readings or (any(m.end > at for m in read.free_measures) and not before):
        return None  # "but it was forty four an hour ago" changes nothing
    if any(r.subject_kind != "equipment" for r in readings):
        return None
    return recording.confirm(talk, readings) if _agreed(heard, readings) else None


def _agreed(heard: Heard, readings: tuple[Reading, ...]) -> bool:
    """True unless the second listener heard another number."""
    if heard.rival is None:
        return True
    return any(m.value == readings[0].value for m in heard.rival.heard.free_measures)


def _as(heard: Heard, readings: tuple[Reading, ...]) -> Heard:
    return replace(heard, interpretation=replace(heard.interpretation, readings=ReadingParse((readings,))))
