"""The thermometer that something was read with: "with probe one it's thirty nine", "the probe says eight"."""

from __future__ import annotations

from collections.abc import Callable

from intents.language import language
from intents.lexicon import Lexicon
from intents.mentions import Understanding

_TWO = 2


def tools(heard: Understanding, kind_of: Callable[[str], str], lexicon: Lexicon) -> dict[int, int]:
    """Return where each begins and ends: it is no place that was measured."""
    grammar, words, found = language(heard.language).numbers, heard.words, dict[int, int]()
    places, led = heard.names.get("equipment", ()), lexicon.list("read_with")
    others = {s.start for spans in (places, heard.names.get("food", ())) for s in spans}
    probes = [s for s in places if kind_of(s.value) == "probe"]
    for span in probes:
        shows = {*words[span.end : span.end + 1]} & lexicon.list("gauge_shows")
        behind = {i for i in others if i > span.end} - {s.start for s in probes}
        numbers = [m.start for m in heard.measures if m.start > span.end]
        into = {*words[min(behind, default=0) - 2 : min(behind, default=0)]} & lexicon.list("prepositions")
        if shows and behind and numbers and (min(behind) < min(numbers) or into):
            found[span.start] = span.end + 1
        elif led & {*words[max(0, span.start - 1) : span.start]}:
            found[span.start - 1] = span.end
    for at in range(len(words) - 2):
        called = words[at] in led and words[at + 1] in lexicon.list("number_word")
        alone = not words[at + 3 :] or not grammar.is_number_word(words[at + 3])
        if called and alone and grammar.values(words[at + 2 : at + 3]):
            found[at] = at + 3
    return found


def without_number(found: dict[int, int], heard: Understanding) -> dict[int, int] | None:
    """Return the tools without a number that may begin what was read: "with probe one sixty five" is 165.

    ``None`` where no number can belong to both.
    """
    grammar, words = language(heard.language).numbers, heard.words
    cut = {
        start: end - 1
        for start, end in found.items()
        if end - start > _TWO
        and end not in heard.breaks
        and any(stop > end for stop, _ in grammar.numbers_from(words, end - 1))
    }
    return found | cut if cut else None
