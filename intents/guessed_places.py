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
        if not found or self._beside(words, start) or self._is_compared(words, start):
            return []
        if self._guesses and self._lexicon.list("places_not_ours") & {*words}:
            found = [span for span in found if words[span.start : span.end] not in self._guesses]
        return [span for span in found if not self._compares(words, span)]

    def neighbours(self, words: tuple[str, ...]) -> bool:
        """True where a place is named only to tell what is beside it."""
        return any(
            super(PlaceFinder, self).at(words, i) and self._beside(words, i) for i in range(len(words))
        )

    def compared_with(self, words: tuple[str, ...]) -> tuple[Span, ...]:
        """Return the places that are only what another is compared with."""
        starts = (i for i in range(1, len(words)) if self._lexicon.compares_with(words, i))
        spans = (span for i in starts for span in super(PlaceFinder, self).at(words, i)[:1])
        return tuple(span for span in spans if self._lexicon.only_compared(words, span))

    def _is_compared(self, words: tuple[str, ...], start: int) -> bool:
        """True for the cooler of "than the prep cooler"."""
        spans = self.compared_with(words[: start + 1 + FARTHEST + 2])
        return any(span.start <= start < span.end for span in spans)

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
        """True for a neighbour, and a part of its name: "the rail next to the salad fridge".

        Not for the place where something is done ("swept under the rail"), nor for one named again behind it.
        """
        beside, told = self._lexicon.list("beside_a_place"), self._lexicon.list("read_at")
        numbers = language(self._lexicon.language).numbers
        for end in range(start, max(0, start - FARTHEST), -1):
            count = next((n for n in (3, 2, 1) if " ".join(words[max(0, end - n) : end]) in beside), 0)
            if count:
                named = super().at
                again = any(span.end <= start for i in range(end, start) for span in named(words, i))
                return not again and self._is_thing(words, end - count - 1)
            if words[end - 1] in told or numbers.is_number_word(words[end - 1]):
                return False
        return False

    def _is_thing(self, words: tuple[str, ...], at: int) -> bool:
        """True where a word is what stands beside a place: "the fridge by the door", "the one next to it"."""
        things = self._lexicon.list("place_nouns") | self._lexicon.list("batch_one") | self.words
        return at >= 0 and words[at] in things

    def _compares(self, words: tuple[str, ...], span: Span) -> bool:
        """True for the "cooler" of "it's cooler now" and "cooler than forty"."""
        if span.end - span.start > 1 or words[span.start] not in self._lexicon.list("compares"):
            return False
        food = any(each.end == span.start for each in self._foods.find_all(words[: span.start]))
        return food or self.compared(words, span.start)
