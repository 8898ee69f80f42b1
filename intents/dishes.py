"""Dishes that no table knows: lasagne may be one; a pan, a lot and a yep are none.

The net hears a food by where it stands in a sentence. What the tables of the language have as another word
is no food for that alone.
"""

from __future__ import annotations

from functools import cache

from intents.language import language
from intents.lexicon import load_lexicon

_PLURALS = ("es", "s")
_OF_FOODS = ("place_modifiers", "deed_cooks_in")
"""Lists that hold foods, too ("dairy", "sauce")."""
_LEAST = 3
"""Fewer letters are no singular of a longer word."""


def may_be_dish(words: tuple[str, ...], code: str) -> bool:
    """True where at least one word of what the net hears as a food is no other word of the language.

    "Rested" and "sliced" alone tell what was done with one.
    """
    known, done = _other_words(code), tuple(load_lexicon(code).list("no_dish_ending"))
    if len(words) == 1 and done and words[0].endswith(done):
        return False
    return not all({word, *_singulars(word)} & known for word in words)


def _singulars(word: str) -> list[str]:
    ones = [word.removesuffix(ending) for ending in _PLURALS if word.endswith(ending)]
    return [one for one in ones if len(one) >= _LEAST]


@cache
def _other_words(code: str) -> frozenset[str]:
    lexicon, numbers = load_lexicon(code), language(code).numbers
    alone = {phrase for phrase, _ in lexicon.finder.pairs() if " " not in phrase}
    lists = (words for name, words in lexicon.lists.items() if name not in _OF_FOODS)
    listed = {word for words in lists for word in words if " " not in word}
    return lexicon.filler | lexicon.links | numbers.number_words() | alone | listed
