"""Readings of before and now, and of food that may have been cooling or held hot.

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

_COOLS = ("cool", "cooling_is", "still_cooling", "missed_cool", "ice_bath")
_NEAR_HOT = 100
"""Fahrenheit; a food this hot that has "been an hour" may as well be held hot as cooling: judgement."""
_STILL_WARM = 95
"""Fahrenheit; from here to the hot holding limit a food "down to" a number may cool or be held: judgement."""


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the outcome of either kind of report; ``None`` when it is neither."""
    read = heard.interpretation.heard
    if asks(read) or heard.interpretation.readings.options:
        return None
    return _fallen(talk, heard, read) or _was_and_is(talk, heard, read)


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


def _agreed(heard: Heard, readings: tuple[Reading, ...]) -> bool:
    """True unless the second listener heard another number."""
    if heard.rival is None:
        return True
    return any(m.value == readings[0].value for m in heard.rival.heard.free_measures)


def _as(heard: Heard, readings: tuple[Reading, ...]) -> Heard:
    return replace(heard, interpretation=replace(heard.interpretation, readings=ReadingParse((readings,))))
