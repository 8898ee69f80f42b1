"""All ways in which a whole utterance reads as readings, and which of them count."""

from __future__ import annotations

from dataclasses import replace

from intents.equipment_kinds import between_steps
from intents.lexicon import Finder, Lexicon
from intents.mentions import Understanding
from intents.not_measured import not_measured
from intents.number_roles import other_numbers
from intents.readings import KindOf, Reading, ReadingParse, ReadingParser
from intents.tools import without_number


def parse_readings(
    heard: Understanding,
    finders: dict[str, Finder],
    lexicon: Lexicon,
    kind_of: KindOf,
    unit: str = "F",
    short: Finder | None = None,
) -> ReadingParse:
    """Return every way in which all words of ``heard`` read as readings.
    ``kind_of`` gives the kind of an equipment id, ``unit`` the site's degrees where none are said. Of
    explanations of the whole utterance those win whose numbers all make sense for their place.

    ``short`` finds words that may be a place ("salad" of the salad fridge). They are one where all that is
    told is of places and every number fits, or where nothing else can be read.
    """
    if heard.broken or (heard.words[-1:] and heard.words[-1] in lexicon.list("number_alike")):
        return ReadingParse()  # "forty for" may have been "forty four"
    if not_measured(heard, lexicon) or other_numbers(heard):
        return ReadingParse()
    plain = ReadingParser(heard, finders, lexicon, kind_of, unit)
    sensible, options = plain.ways()
    if (cut := without_number(plain.tools, heard)) is not None:
        more = ReadingParser(heard, finders, lexicon, kind_of, unit, tools_used=cut).ways()
        sensible, options = sensible | more[0], options | more[1]
    if sensible and plain.tools:
        shown = {s.start: s.value for s in heard.names["equipment"] if s.start in plain.tools}
        by = next(iter(shown.values()), "")
        # What a thermometer shows is of the food, where a word may be both.
        return _fewest({tuple(_read_by(r, by) for r in parse) for parse in sensible})
    if short is None or not short.find_all(heard.words):
        return _fewest(sensible or options)
    fits, _ = ReadingParser(heard, finders, lexicon, kind_of, unit, short).ways()
    return _fewest({p for p in fits if all_places(p)} or sensible or fits or options)


def _read_by(reading: Reading, probe: str) -> Reading:
    """Return a food's reading with the thermometer that showed it, where no place was told."""
    alone = probe and reading.subject_kind == "food" and not reading.place
    return replace(reading, place=probe) if alone else reading


def all_places(readings: tuple[Reading, ...]) -> bool:
    """True where nothing is told of a food."""
    return all(r.subject_kind == "equipment" for r in readings)


def _off_no_strip(one: tuple[Reading, ...], other: tuple[Reading, ...]) -> bool:
    """True where ``one`` has a bare "38" of a bucket, and ``other`` that of another place of its name."""
    pairs = (pair for pair in zip(one, other, strict=False) if pair[0].value == pair[1].value)
    return any(
        own.quantity == "ppm" != its.quantity and not own.unit and own.subject != its.subject
        for own, its in pairs
        if between_steps(own.value)
    )


def _fewest(options: set[tuple[Reading, ...]]) -> ReadingParse:
    fewest = min((len(parse) for parse in options), default=0)
    options = {p for p in options if not any(_off_no_strip(p, other) for other in options)}
    return ReadingParse(tuple(sorted((p for p in options if len(p) == fewest), key=repr)))
