"""Where words name a place of the site, and which places are only guessed by them: by no name of theirs."""

from __future__ import annotations

from collections.abc import Iterable

from intents.language import language
from intents.lexicon import Finder, Lexicon, Span
from intents.wording import pairs
from intents.words import tokenise

FARTHEST = 4
"""In so many words the name of a neighbour is told."""
Names = Iterable[tuple[str, str]]


class PlaceFinder(Finder):
    """Finds places by ``names``, and by ``guesses`` where nothing tells of somebody else's place."""

    def __init__(self, names: Names, guesses: Names, lexicon: Lexicon, foods: Finder) -> None:
        written, guesses = tuple(names), tuple(guesses)
        super().__init__("equipment", (*written, *guesses))
        self._guesses = frozenset(tokenise(phrase) for phrase, _ in guesses)
        self._lexicon, self._foods = lexicon, foods

    def at(self, words: tuple[str, ...], start: int) -> list[Span]:
        """Return every place named from ``start`` on, the longest first."""
        found = super().at(words, start)
        if not found or self._beside(words, start):
            return []
        if self._guesses and self._lexicon.list("places_not_ours") & {*words}:
            found = [span for span in found if words[span.start : span.end] not in self._guesses]
        return [span for span in found if not self._compares(words, span)]

    def neighbours(self, words: tuple[str, ...]) -> bool:
        """True where a place is named only to tell what is beside it."""
        return any(
            super(PlaceFinder, self).at(words, i) and self._beside(words, i) for i in range(len(words))
        )

    def compared(self, words: tuple[str, ...], at: int) -> bool:
        """True where the word at ``at`` tells how warm something is, and no place."""
        before, behind = words[max(0, at - 1) : at], words[at + 1 : at + 2]
        told = {*before} & self._lexicon.list("compares_before")
        compares = words[at] in self._lexicon.list("compares")
        return compares and bool(told or {*behind} & self._lexicon.list("compares_behind"))

    def guessed(self, words: tuple[str, ...]) -> tuple[tuple[Span, ...], tuple[Span, ...]]:
        """Return the spans that are guesses, and the written names that lie in none of them."""
        every = self.find_all(words)
        named = [s for s in every if words[s.start : s.end] not in self._guesses]
        aside = [s for s in named if self._of_another_side(words, s, named)]
        named = [s for s in named if s not in aside]
        guesses = [s for s in every if s not in named]
        guesses = [s for s in guesses if not any(n.start <= s.start and s.end <= n.end for n in named)]
        apart = [n for n in named if not any(s.start <= n.start and n.end <= s.end for s in guesses)]
        return tuple(guesses), tuple(apart)

    def _of_another_side(self, words: tuple[str, ...], span: Span, named: list[Span]) -> bool:
        """True for the cooler of "in the lower cooler", where no name has both words."""
        sides = {side for pair in pairs(self._lexicon.language, "place_opposites") for side in pair}
        at = span.start - 1
        return at > 0 and words[at] in sides and not any(s.start <= at < s.end for s in named)

    def _beside(self, words: tuple[str, ...], start: int) -> bool:
        """True for a neighbour, and a part of its name: "the rail next to the salad fridge"."""
        beside = self._lexicon.list("beside_a_place")
        numbers, told = language(self._lexicon.language).numbers, self._lexicon.list("read_at")
        for end in range(start, max(0, start - FARTHEST), -1):
            if any(" ".join(words[max(0, end - count) : end]) in beside for count in (1, 2, 3)):
                return True
            if words[end - 1] in told or numbers.is_number_word(words[end - 1]):
                return False
        return False

    def _compares(self, words: tuple[str, ...], span: Span) -> bool:
        """True for the "cooler" of "it's cooler now" and "cooler than forty"."""
        if span.end - span.start > 1 or words[span.start] not in self._lexicon.list("compares"):
            return False
        food = {*words[max(0, span.start - 1) : span.start]} & self._foods.words
        return bool(food) or self.compared(words, span.start)
