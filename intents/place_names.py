"""The names by which a site's places may be spoken of, in full: those of the site file, and what follows.

A language says places in words of its own, has several words for one thing ("pail" and "bucket"), trade words
for a kind of equipment that mean the only one of it ("chemical machine"), and words that go in pairs: where
one of two walk-ins is the upper one, the other is the lower. The last two are guesses, each made of a written
name and never of another guess. Parts of names are ``short_names``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import lru_cache

from intents.language import language
from intents.lexicon import load_lexicon
from intents.wording import pairs
from intents.words import REMEMBERED, tokenise

Names = tuple[tuple[str, str], ...]
KindOf = Callable[[str], str]
MACHINE = "dish_machine"
"""How the kinds of dish machines begin."""


def places_of(code: str, named: Names) -> Names:
    """Return the site's spoken places, ``named``, with the language's own words for them, as it is heard.

    ``named`` are ``(spoken phrase, place)``, numbered ones with digits among them.
    """
    named = (*named, *_other_words(code, named))
    found = (*named, *_in_the_language(code, named))
    return tuple(dict.fromkeys((as_heard(code, phrase), place) for phrase, place in found))


def as_heard(code: str, phrase: str) -> str:
    """Return a name in the words in which it is heard ("low-boy" for "lowboy"), each still one word."""
    return " ".join(_word_heard(code, word) for word in phrase.split())


@lru_cache(maxsize=REMEMBERED)
def _word_heard(code: str, word: str) -> str:
    return "-".join(load_lexicon(code).heard(word))


def _in_the_language(code: str, named: Names) -> Iterator[tuple[str, str]]:
    """Give what the language's own words for such equipment add."""
    spell, places = language(code).spell, dict(named)
    numbers: dict[str, list[tuple[str, str]]] = {}  # by place: each number and the place that has it
    for phrase, numbered in named:
        head, _, number = phrase.rpartition(" ")
        place = _plainly(head, places) if number.isdigit() else None
        if place is not None and numbered == f"{place} {number}":
            numbers.setdefault(place, []).append((number, numbered))
    for spoken, english in pairs(code, "equipment"):
        if (place := _plainly(english, places)) is None:
            continue
        yield spoken, place
        for number, numbered in numbers.get(place, ()):
            said = (number, spell.say_integer(int(number)))
            yield from ((f"{spoken} {word}", numbered) for word in said)


def _other_words(code: str, named: Names, table: str = "equipment_words") -> Iterator[tuple[str, str]]:
    """Give the names again with the other words for a thing: "chlorine pail" for a chlorine bucket."""
    taken = {phrase for phrase, _ in named}
    apart = [(f" {phrase} ", place) for phrase, place in named]
    for spoken, meant in pairs(code, table):
        old, new = f" {meant} ", f" {spoken} "
        for phrase, place in apart:
            if old in phrase and (other := phrase.replace(old, new).strip()) not in taken:
                yield other, place


def guessed_names(code: str, named: Names, short: Names, kind_of: KindOf) -> Names:
    """Return by what words a place may be guessed: whole names, of which no part stands for a place.

    ``kind_of`` gives the kind of equipment that a place is. A name that is written, with a number behind it
    or without, is none; one phrase may be several places.
    """
    taken = {tokenise(phrase) for phrase, _ in (*named, *short)}
    numbers = language(code).numbers
    sources = (_other_words(code, named, "trade_words"), _of_kind(code, named, kind_of))
    found = dict.fromkeys((*sources[0], *sources[1], *_opposites(code, named, kind_of)))
    return tuple(
        (phrase, place)
        for phrase, place in found
        if (words := tokenise(phrase)) not in taken
        and not (words[:-1] in taken and numbers.is_number_word(words[-1]))
    )


def number_first(code: str, names: Names) -> Names:
    """Return names with their number in front, too: "number two reach-in" of "reach-in number two"."""
    found, called = list(names), load_lexicon(code).list("number_word")
    for phrase, place in names:
        words = phrase.split()
        if {*words[1:][-2:-1]} & called:
            found.append((" ".join((*words[-2:], *words[:-2])), place))
    return tuple(found)


def _opposites(code: str, named: Names, kind_of: KindOf) -> Iterator[tuple[str, str]]:
    """Give "upper walk-in" where there are two walk-ins and the other is the lower one."""
    family = _families(named)
    plain = [(phrase, place) for phrase, place in named if " " in phrase and place == family[place]]
    numbered = {place.rpartition(" ")[0] for _, place in named if place[-1].isdigit()}
    both = pairs(code, "place_opposites")
    opposite = (*both, *((two, one) for one, two in both))
    sides = {side for pair in both for side in pair}
    taken = {phrase for phrase, _ in named}
    alike: dict[str, dict[str, str]] = {}  # by the noun: places with their kinds
    for phrase, place in plain:
        alike.setdefault(phrase.split()[-1], {})[place] = kind_of(place)
    for phrase, place in plain:
        same = alike[phrase.split()[-1]]
        others = [p for p, kind in same.items() if p != place and kind == same[place]]
        told = {word for name, p in plain if p in others for word in name.split()}
        if len(others) != 1 or numbered & {place, *others} or told & sides:
            continue
        for side, other in opposite:
            name = f" {phrase} ".replace(f" {side} ", f" {other} ").strip()
            if name not in taken:
                yield name, others[0]


def _of_kind(code: str, named: Names, kind_of: KindOf) -> Iterator[tuple[str, str]]:
    """Give the trade words for a kind of equipment where the site has one place of it, with its numbers.

    Of machines that wash dishes there may be two.
    """
    first: dict[str, str] = {}
    family = _families(named)
    for phrase, place in named:
        first.setdefault(family[place], phrase)
    for spoken, kinds in pairs(code, "kind_words"):
        each = [[place for place in first if kind_of(place) == kind] for kind in kinds.split()]
        of_kind = [place for places in each for place in places]
        machines = kinds.startswith(MACHINE) and all(len(places) == 1 for places in each)
        for name in (first[place] for place in of_kind if machines or len(of_kind) == 1):
            longer = f"{name} "
            for phrase, place in named:
                if phrase == name or phrase.startswith(longer):
                    yield f"{spoken}{phrase.removeprefix(name)}", place


def _families(named: Names) -> dict[str, str]:
    """Return for each place what it is without its number, where one without is named, too."""
    places = dict.fromkeys(place for _, place in named)
    parts = {place: place.rpartition(" ") for place in places}
    return {
        place: head if number.isdigit() and head in places else place
        for place, (head, _, number) in parts.items()
    }


def _plainly(name: str, places: dict[str, str]) -> str | None:
    return places.get(name) or places.get(name.replace("-", " "))
