"""Where foods are, said once for several: "steam table: chili one fifty one, gravy one forty two"."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from intents.equipment_kinds import plausible
from intents.lexicon import Span
from intents.readings import Reading, ReadingParse


def place_carried(
    parse: ReadingParse, foods: tuple[Span, ...], places: tuple[Span, ...], kind_of: Callable[[str], str]
) -> ReadingParse:
    """Return the readings with the place said before the first food given to the others, too.

    Not where another place is named, nor a food whose number makes no sense there.
    """
    said_first = len(places) == 1 and len(foods) > 1 and places[0].end <= min(s.start for s in foods)
    if not said_first:
        return parse
    place = places[0].value
    options = (tuple(_at(reading, place, kind_of(place)) for reading in option) for option in parse.options)
    return ReadingParse(tuple(dict.fromkeys(options)))


def on_display(parse: ReadingParse, displayed: bool) -> ReadingParse:
    """Return the readings with foods marked as shown or sold from ("on the buffet"), where that was said."""
    if not displayed:
        return parse
    return ReadingParse(
        tuple(
            tuple(replace(r, displayed=r.subject_kind == "food" and not r.place) for r in option)
            for option in parse.options
        )
    )


def _at(reading: Reading, place: str, kind: str) -> Reading:
    fits = plausible(kind, "temperature", reading.value, reading.unit == "C")
    return replace(reading, place=place) if reading.subject_kind == "food" and fits else reading
