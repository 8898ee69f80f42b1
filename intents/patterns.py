"""Patterns of words in a row, each one of a list of the language: "<turned_to> #", "?<links> <gauges>"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from intents.lexicon import load_lexicon

if TYPE_CHECKING:
    from intents.mentions import Understanding

NUMBER = "#"
"""Stands for the words of one number."""
NAMES = {"@": "compared", "$": "equipment", "&": "food"}
"""What stands for a name: of the place or food with which something is compared, of a place, of a food."""
_Phrases = dict[str, tuple[tuple[str, ...], ...]]


@dataclass(frozen=True)
class _Part:
    """One part of a pattern: whether it may lack, and its phrases by their first word.

    Without phrases it is a number, or a name of a kind.
    """

    may_lack: bool
    phrases: _Phrases | None
    kind: str = ""


@dataclass(frozen=True)
class Pattern:
    """The parts of a pattern one after the other, and the words with which it can begin; none: any."""

    parts: tuple[_Part, ...]
    first: frozenset[str] | None

    def found(self, heard: Understanding) -> Iterator[tuple[int, int]]:
        """Give where the words of the pattern begin and end, the longest from each word on."""
        yield from ((at, max(ends)) for at, ends in self.every(heard))

    def every(self, heard: Understanding) -> Iterator[tuple[int, set[int]]]:
        """Give where the words of the pattern begin, each with every end that they can have."""
        for at, word in enumerate(heard.words):
            opens = self.first is None or word in self.first
            if ends := {end for end in _ends(self.parts, heard, at) if end > at} if opens else set():
                yield at, ends


@cache
def pattern_of(written: str, code: str) -> Pattern:
    """Return a pattern as it is written in a table, with the words of a language."""
    parts = tuple(_part(part, code) for part in written.split())
    needed = next((i for i, part in enumerate(parts) if not part.may_lack), len(parts))
    opens = parts[: needed + 1]
    if any(part.phrases is None for part in opens):
        return Pattern(parts, None)
    return Pattern(parts, frozenset(word for part in opens for word in part.phrases or ()))


def _part(written: str, code: str) -> _Part:
    lexicon, may_lack = load_lexicon(code), written.startswith("?")
    if (named := written.removeprefix("?")) in (NUMBER, *NAMES):
        return _Part(may_lack, None, NAMES.get(named, ""))
    names = [name.strip("<>") for name in named.split("|")]
    words = (lexicon.links if name == "links" else lexicon.list(name) for name in names)
    phrases = {tuple(phrase.replace("'", "").split()) for each in words for phrase in each}
    by_first: _Phrases = {}
    for phrase in filter(None, phrases):
        by_first[phrase[0]] = (*by_first.get(phrase[0], ()), phrase)
    return _Part(may_lack, by_first)


def _ends(parts: tuple[_Part, ...], heard: Understanding, at: int) -> Iterator[int]:
    """Give where all parts have been found one after the other from ``at`` on."""
    if not parts:
        yield at
        return
    part, rest, words = parts[0], parts[1:], heard.words
    if part.kind:
        ends = [span.end for span in heard.names.get(part.kind, ()) if span.start == at]
    elif part.phrases is None:
        ends = [end for end, _ in heard.numbers_from(at)]
    else:
        known = part.phrases.get(words[at], ()) if at < len(words) else ()
        ends = [at + len(phrase) for phrase in known if words[at : at + len(phrase)] == phrase]
    for end in (*ends, *((at,) if part.may_lack else ())):
        yield from _ends(rest, heard, end)
