"""One utterance, fully read: what it mentions, how it parses as readings, which intents fit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from intents.carried import on_display, place_carried
from intents.catalogue import Catalogue, load_catalogue
from intents.foods_heard import qualified
from intents.language import language
from intents.lexicon import Lexicon, Span, load_lexicon
from intents.matcher import Match, rank
from intents.mentions import SpokenNames, Understanding, understand
from intents.names_heard import foods_of, own_foods, places_of
from intents.nearest import Examples
from intents.readings import KindOf, ReadingParse, parse_readings
from intents.sound_alike import SoundAlikes
from intents.words import tokenise

DISPLAY = "note_display"
"""The concept of places where food is shown or sold from."""
NOT_FOOD = "not_food"
"""The concept of things with a food in their name (milk crates, the salad bar)."""
RAW_SERVICE = "as_raw_service"
"""The concept of food that is served raw ("for sushi")."""
WHOLE_SCORE = 3.0
"""A corrected sentence has to fit at least this well."""
ASKED = "zzasked"
"""Stands for the place that was asked for, in front of a bare number; no word that anybody says."""


@dataclass(frozen=True)
class Interpretation:
    """Everything that one hypothesis can mean; the dialogue decides."""

    heard: Understanding
    readings: ReadingParse
    matches: tuple[Match, ...]

    @property
    def best(self) -> Match | None:
        """The intent that fits best, if any does."""
        return self.matches[0] if self.matches else None


class Interpreter:
    """Reads utterances of one language with the names of one site. Pure once built."""

    def __init__(
        self,
        language: str,
        equipment: tuple[tuple[str, str], ...],
        people: tuple[tuple[str, str], ...],
        menu: tuple[tuple[str, str], ...],
        kind_of: KindOf,
        unit: str = "F",
        rounds: tuple[tuple[str, str], ...] = (),
    ) -> None:
        self.lexicon: Lexicon = load_lexicon(language)
        self.catalogue: Catalogue = load_catalogue(language).in_unit(unit)
        self.names = SpokenNames((*foods_of(language), *menu), places_of(language, equipment), people, rounds)
        self._finders = self.names.finders()
        self._kind_of = kind_of
        self._unit = unit
        self._examples = Examples(self.catalogue, self.lexicon, self._understand)

    def interpret(self, text: str) -> Interpretation:
        """Return all that ``text`` can mean."""
        heard = self._understand(text)
        readings = parse_readings(heard, self._finders, self.lexicon, self._kind_of, self._unit)
        foods, places = heard.names["food"], heard.names["equipment"]
        readings = place_carried(readings, foods, places, self._kind_of)
        readings = on_display(readings, heard.has(DISPLAY))
        matches = rank(heard, self.catalogue, self.lexicon)
        if not matches:
            second = self._second_try(heard)
            if second is not None:
                return second
        if not readings.options and not matches:
            better = self._spelled_better(heard)
            if better is not None:
                return better
        if not matches and not readings.options:
            readings = self._before_condition(heard)
        if not matches:
            matches = () if readings.options else self._examples.stand_in(heard)
        return Interpretation(heard, readings, self._examples.settle(heard, matches))

    def _before_condition(self, heard: Understanding) -> ReadingParse:
        """Read the number of "is the walk-in ok at forty five if we're about to close" without its condition.

        Only a question's: nothing is logged of it, and a limit does not depend on why it is asked.
        """
        words, lexicon = heard.words, self.lexicon
        if words[:1] and words[0] in lexicon.list("asking"):
            cuts = (i for i, word in enumerate(words) if i and word in lexicon.list("conditions"))
            if (at := next(cuts, None)) is not None:
                first = self._understand(" ".join(words[:at]))
                return parse_readings(first, self._finders, lexicon, self._kind_of, self._unit)
        return ReadingParse()

    def answer_for(self, kind: str, name: str, text: str) -> ReadingParse:
        """Return how ``text`` ("it's thirty eight") reads as a reading of what was asked for.

        ``kind`` is equipment or food, ``name`` its id.
        """
        finders = {**self._finders, kind: self._finders[kind].plus(ASKED, name)}
        heard = understand(f"{ASKED} {text}", self.lexicon, finders)
        return parse_readings(heard, finders, self.lexicon, self._kind_of, self._unit)

    def _understand(self, text: str) -> Understanding:
        heard = understand(text, self.lexicon, self._finders)
        served = [s for s in heard.concepts if s.value == RAW_SERVICE and self._after_preposition(heard, s)]
        others = (*heard.names["equipment"], *(s for s in heard.concepts if s.value == NOT_FOOD), *served)
        foods = tuple(food for food in heard.names["food"] if not any(_inside(food, s) for s in others))
        foods = tuple(
            f for f in foods if not any(c.start <= f.start and f.end <= c.end for c in heard.clocks)
        )
        if not own_foods(self.lexicon.language):
            foods = qualified(heard.words, foods)
        concepts = tuple(c for c in heard.concepts if not self._is_guests_table(heard.words, c))
        return replace(heard, concepts=concepts, names={**heard.names, "food": foods})

    def _is_guests_table(self, words: tuple[str, ...], span: Span) -> bool:
        """True for the table of "table four sent the fish back", which is no surface to clean."""
        alone = span.end == span.start + 1 and words[span.start] in self.lexicon.list("guests_sit_at")
        numbers = language(self.lexicon.language).numbers
        return alone and span.end < len(words) and numbers.is_number_word(words[span.end])

    def _after_preposition(self, heard: Understanding, span: Span) -> bool:
        """True for "for sushi", which tells how a fish is served and names no food of its own."""
        return heard.words[span.start] in self.lexicon.list("prepositions")

    @cached_property
    def _sound_alikes(self) -> SoundAlikes:
        """Return the places and trade words that an unknown word may stand for, of this site and language.

        Never a food: an unknown food gets the stricter answer, a wrong one perhaps a weaker.
        """
        lexicon = self.lexicon
        names = self._finders["equipment"].words()
        known = (
            *(word for finder in self._finders.values() for word in finder.words()),
            *lexicon.finder.words(),
            *lexicon.filler,
            *lexicon.links,
            *language(lexicon.language).numbers.number_words(),
            *(w for i in self.catalogue.intents.values() for e in i.examples for w in tokenise(e.say)),
        )
        return SoundAlikes((*names, *lexicon.list("trade_words")), known)

    def _spelled_better(self, heard: Understanding) -> Interpretation | None:
        """Read a sentence whose one unknown word is like a name, only if all of it then makes sense."""
        words = self._sound_alikes.corrected(heard.words)
        if words is None:
            return None
        again = self._understand(" ".join(words))
        readings = parse_readings(again, self._finders, self.lexicon, self._kind_of, self._unit)
        matches = tuple(m for m in rank(again, self.catalogue, self.lexicon) if _whole(m))
        if not readings.options and not matches:
            return None
        matches = self._examples.settle(again, matches)
        return Interpretation(replace(again, text=heard.text), readings, matches)

    def _second_try(self, heard: Understanding) -> Interpretation | None:
        """Read likely mishearings ("thought" for thaw) as meant, only where nothing else fits.

        A word that belongs to a known meaning ("throw out") was not misheard.
        """
        if heard.words[:1] and heard.words[0] not in self.lexicon.list("asking"):
            return None  # "I thought the chicken was done" is talk
        known = {heard.words[i] for span in heard.concepts for i in range(span.start, span.end)}
        for said, meant in self.lexicon.perhaps_heard_as.items():
            if said not in heard.words or said in known:
                continue
            again = self._understand(" ".join(meant if word == said else word for word in heard.words))
            matches = rank(again, self.catalogue, self.lexicon)
            if matches:
                readings = parse_readings(again, self._finders, self.lexicon, self._kind_of)
                matches = self._examples.settle(again, matches)
                return Interpretation(replace(again, text=heard.text), readings, matches)
        return None


def _whole(match: Match) -> bool:
    """True for a match that leaves no word unexplained and rests on more than one meaning."""
    return not match.left_over and match.score >= WHOLE_SCORE


def _inside(food: Span, other: Span) -> bool:
    """True when a food's name is only a part of a longer name, or is mostly said of something else."""
    longer = other.end - other.start > food.end - food.start
    return (longer or other.value == NOT_FOOD) and other.start <= food.start and food.end <= other.end
