"""Places said in short: the parts of a place's name that may stand for it, derived from the site's names.

"Trolley two" of the hot trolleys, "drawer" of the fish drawer. A part is *sure* where it ends as the name
does, only one place has it, and it is no other word of the language; all others are *doubtful*: "salad" is
a food, too, and "fridge" may be three. Those are places only where a number that fits them is told of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass, field

from intents.kept import kept
from intents.language import language
from intents.lexicon import Finder, Lexicon
from intents.wording import pairs
from intents.words import tokenise

Words = tuple[str, ...]
Names = tuple[tuple[str, str], ...]
ORDER = ("back_first", "back_second", "back_third", "back_fourth")
"""Lists of words that count places in a row."""
POINTED = (*ORDER, "back_last", "back_middle")
MOST_PLACES = 4
"""A part that stands for more places than this is no name of any."""
PLACE_WORD = "place_"
"""How the names of concepts begin that are words for kinds of places ("fridge")."""
WATER = "place_water"
MEASURED = "measured_"
"""How the names of concepts begin that tell what was measured ("rinse")."""
_TWO = 2
_NONE = frozenset[str]()


@dataclass(frozen=True)
class ShortNames:
    """Pairs of a phrase and a place; a doubtful phrase may stand there once for each place it can be."""

    sure: Names = ()
    doubtful: Names = ()


@dataclass
class _Part:
    ends: bool = True  # it ends as the name does: "drawer" of "fish drawer"
    named: bool = False  # of the name itself, not only of another name for the place
    places: list[str] = field(default_factory=list)


def short_names(named: Names, lexicon: Lexicon, foods: Finder, menu: Names) -> ShortNames:
    """Return the parts of ``named``, pairs of a spoken phrase and its place, the place's own name first.

    They are kept for the site's names (``intents.kept``): making them takes as long as all the rest.
    ``menu``: what ``foods`` finds besides those of the tables.
    """

    def made() -> dict[str, Names]:
        return asdict(_short_names(named, lexicon, foods))

    found = kept(f"short-names-{lexicon.language}", made, of=f"{named}\n{menu}")
    return ShortNames(*(tuple((said, place) for said, place in found[key]) for key in ("sure", "doubtful")))


def _short_names(named: Names, lexicon: Lexicon, foods: Finder) -> ShortNames:
    whole = {tokenise(phrase) for phrase, _ in named}
    numbered = {place.rpartition(" ")[0] for _, place in named if place.rpartition(" ")[2].isdecimal()}
    own: dict[str, tuple[Words, ...]] = {}  # a place's name itself, without its number
    found: dict[tuple[Words, Words], _Part] = {}
    guests = lexicon.list("guests_sit_at")
    ordinals = frozenset[str]().union(*(lexicon.list(name) for name in POINTED))
    for phrase, place in dict.fromkeys(named):
        head, tail = _apart(phrase, place, lexicon)
        named_so = head == own.setdefault(place.rpartition(" ")[0] if tail else place, head)
        words = sum(head, ())
        for part, ends in _parts(head, lexicon):
            if part + tail in whole or _of_a_food(part, words, foods):
                continue
            if set(part) & guests and not (tail or place in numbered):
                continue  # "table forty" is no prep table
            known = found.setdefault((part, tail), _Part())
            known.ends &= ends
            known.named |= named_so
            if place not in known.places:
                known.places.append(place)
    sure, doubtful = list[tuple[str, str]](), list[tuple[str, str]]()
    for (part, tail), known in found.items():
        measured = any(s.value.startswith(MEASURED) for s in lexicon.finder.find_all(part))
        bare = not set(part) <= lexicon.list("short_never") | (_NONE if known.ends else _small(lexicon))
        if not bare and known.ends:
            continue
        if measured and not foods.find_all(part):
            continue  # "rinse one eighty" tells what was measured
        means, phrase = _means(part, lexicon, foods), " ".join(part + tail)
        alone = bare and len(known.places) == 1 and known.ends and known.named and not set(part) & guests
        if alone and (tail or not means):
            sure.append((phrase, known.places[0]))
        elif len(known.places) <= MOST_PLACES:
            if bare and (known.named or _place_word(part, lexicon)):
                doubtful += [(phrase, place) for place in known.places]
            pointing = set(part) <= ordinals  # "the second one" points at no sink
            if not (known.ends or tail or pointing or numbered & {*known.places}):  # "the aft one"
                ones = sorted(lexicon.list("batch_one"))
                doubtful += [(f"{phrase} {one}", place) for one in ones for place in known.places]
    return ShortNames(tuple(sure), tuple(doubtful))


def _of_a_food(part: Words, name: Words, foods: Finder) -> bool:
    """True for the ice and the cream of the ice cream freezer: foods, and a part of another in the name."""
    if not foods.find_all(part):
        return False
    whole = (name[food.start : food.end] for food in foods.find_all(name))
    ends = (slice(-len(part), None), slice(len(part)))
    return any(len(food) > len(part) and part in (food[end] for end in ends) for food in whole)


def _apart(phrase: str, place: str, lexicon: Lexicon) -> tuple[tuple[Words, ...], Words]:
    """Return a name, each word opened up, and the number behind it where the place has one ("number two")."""
    words = tuple(tokenise(word) for word in phrase.split())
    number = place.rpartition(" ")[2]
    grammar = language(lexicon.language).numbers
    if not number.isdecimal() or len(words) < _TWO or int(number) not in grammar.values(words[-1]):
        return words, ()
    at = len(words) - (_TWO if set(words[-_TWO]) <= lexicon.links and len(words) > _TWO else 1)
    return words[:at], sum(words[at:], ())


def _parts(head: tuple[Words, ...], lexicon: Lexicon) -> Iterator[tuple[Words, bool]]:
    """Give each part of a name that can stand alone, and whether it ends as the name does."""
    grammar = language(lexicon.language).numbers
    for start in range(len(head)):
        for end in range(start + 1, len(head) + 1):
            part, ends = sum(head[start:end], ()), end == len(head)
            if any(map(grammar.is_number_word, part)) or end - start == len(head):
                continue
            single = ends and end - start == 1  # "walk-in" of the main walk-in is a noun
            noun = single and not set(part) <= lexicon.links | lexicon.list("prepositions")
            first = not start and end == 1  # "the back one" of the back hand sink
            if noun or first or not {part[0], part[-1]} & _small(lexicon):  # "well" of a soup well is one
                yield part, ends


def _small(lexicon: Lexicon) -> frozenset[str]:
    return lexicon.links | lexicon.list("prepositions") | lexicon.filler


def _place_word(part: Words, lexicon: Lexicon) -> bool:
    """True for a word for a kind of place ("fridge"), whatever other word it is, or one of two ("upper")."""
    concepts, said = [s.value for s in lexicon.finder.find_all(part)], " ".join(part)
    side = any(said in pair for pair in pairs(lexicon.language, "place_opposites"))
    return side or said in lexicon.list("place_nouns") or any(map(_of_places, concepts))


def _of_places(concept: str) -> bool:
    return concept.startswith(PLACE_WORD) and concept != WATER


def _means(part: Words, lexicon: Lexicon, foods: Finder) -> bool:
    """True for a part that is another word of the language, too: a food, a filler, a thing to clean."""
    concepts = [s.value for s in lexicon.finder.find_all(part)]
    small = set(part) <= lexicon.small()
    return small or not all(map(_of_places, concepts)) or bool(foods.find_all(part))
