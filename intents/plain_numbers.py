"""One number with its unit, as it may be read off: never cut in two, never over a comma, never a count."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from intents.language import language
from intents.lexicon import Lexicon, Span
from intents.mentions import UNIT_KINDS, Understanding
from intents.not_measured import counts_things
from intents.siblings import sibling_number


def plain_numbers(
    heard: Understanding, at: int, units: Mapping[int, Span], lexicon: Lexicon
) -> Iterator[tuple[int, Decimal, str, str]]:
    """Give end, value, quantity and unit of each number that begins at ``at``; ``units`` by their start."""
    grammar, words = language(lexicon.language).numbers, heard.words
    for end, options in heard.numbers_from(at):
        runs_on = end < len(words) and grammar.is_number_word(words[end]) and end not in heard.breaks
        cut = runs_on and sibling_number(heard, end, lexicon) is None
        if cut or counts_things(heard, end, lexicon):
            continue
        unit = units.get(end) if end not in heard.breaks else None
        stop, kind, name = end, "", ""
        while unit is not None:
            kind, found = UNIT_KINDS[unit.value]
            name, stop = found or name, unit.end
            unit = units.get(stop)
        if not kind and words[end - 1] in lexicon.list("above_zero"):
            kind = "temperature"
        if kind in ("", "temperature", "ppm"):
            yield from ((stop, value, kind, name) for value in options)


def only_unit(heard: Understanding) -> str:
    """Return the unit told of temperatures; nothing where none or both were."""
    told = {m.unit for m in heard.measures if m.kind == "temperature" and m.unit}
    return told.pop() if len(told) == 1 else ""
