"""All ways in which a whole utterance reads as readings, and which of them count."""

from __future__ import annotations

from intents.lexicon import Finder, Lexicon
from intents.mentions import Understanding
from intents.not_measured import not_measured
from intents.readings import KindOf, Reading, ReadingParse, ReadingParser


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
    if not_measured(heard, lexicon):
        return ReadingParse()
    plain = ReadingParser(heard, finders, lexicon, kind_of, unit)
    sensible, options = plain.ways()
    if short is None or not short.find_all(heard.words):
        return _fewest(sensible or options)
    fits, _ = ReadingParser(heard, finders, lexicon, kind_of, unit, short).ways()
    return _fewest({p for p in fits if all_places(p)} or sensible or fits or options)


def all_places(readings: tuple[Reading, ...]) -> bool:
    """True where nothing is told of a food."""
    return all(r.subject_kind == "equipment" for r in readings)


def _fewest(options: set[tuple[Reading, ...]]) -> ReadingParse:
    fewest = min((len(parse) for parse in options), default=0)
    return ReadingParse(tuple(sorted((p for p in options if len(p) == fewest), key=repr)))
