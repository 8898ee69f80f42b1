"""The names of foods and places in the words of a language, for the finder.

A pack without ``foods.csv`` says foods by the names of the rules' table; any other maps its words to them.
"""

from __future__ import annotations

import re
from functools import cache

from assistant.rules.food_names import find_food
from intents.foods_heard import food_phrases
from intents.lexicon import Finder, Span
from intents.wording import pairs, wording
from intents.words import tokenise

Names = tuple[tuple[str, str], ...]


@cache
def foods_of(code: str) -> Names:
    """Return ``(spoken phrase, food)`` for a language; "pollo crudo" stands for raw chicken."""
    own = pairs(code, "foods")
    if not own:
        return food_phrases()
    found = dict(own)
    for spoken, food in own:
        for word, english in pairs(code, "food_words"):
            if find_food(f"{english} {food}") is not None:
                found.setdefault(f"{spoken} {word}", f"{english} {food}")
    return tuple(found.items())


@cache
def food_finder(code: str) -> Finder:
    """Return what finds the foods of a language."""
    return Finder("food", foods_of(code), f"foods-{code}")


@cache
def _written(code: str) -> dict[tuple[str, ...], str]:
    """Return how each food's name is written, by its words without accents."""
    return {tokenise(spoken): spoken for spoken, _ in foods_of(code)}


@cache
def places_called(code: str, names: tuple[str, ...]) -> dict[str, str]:
    """Return what a site's places are called in a language, by their names in small letters."""
    return {name.lower(): wording(code).place(name) for name in names}


@cache
def kept_names(code: str, names: tuple[str, ...]) -> re.Pattern[str] | None:
    """Return what finds names that a language has words of, but not the whole ("shrimp drawer")."""
    said = wording(code)
    halves = [name for name in names if said.place(name) == name != said.shown(name)]
    longest = sorted(halves, key=len, reverse=True)
    return re.compile(rf"\b({'|'.join(map(re.escape, longest))})\b", re.IGNORECASE) if halves else None


def called(code: str, words: tuple[str, ...], foods: tuple[Span, ...]) -> dict[str, str]:
    """Return what the foods of a sentence were called in it, by food: "habichuelas" of beans."""
    if not own_foods(code):
        return {}
    written = _written(code)
    named = ((span.value.lower(), written.get(words[span.start : span.end], "")) for span in foods)
    return {food: spoken for food, spoken in named if spoken}


def own_foods(code: str) -> bool:
    """True when a language says foods in other words than the rules' table."""
    return bool(pairs(code, "foods"))


def rounds_of(code: str, named: Names) -> Names:
    """Return the site's spoken rounds with what the language's own words for such rounds add."""
    known = dict(named)
    own = ((spoken, known[english]) for spoken, english in pairs(code, "rounds") if english in known)
    return tuple(dict.fromkeys((*named, *own)))


def begins_place(food: Span, place: Span, words: tuple[str, ...], small: frozenset[str]) -> bool:
    """True for "the fish" of "the fish drawer": the article goes with the place."""
    return food.start < place.start < food.end <= place.end and set(words[food.start : place.start]) <= small
