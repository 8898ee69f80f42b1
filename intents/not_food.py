"""Words that are a food's name, and none where they stand: "jus thirty nine", "a quarter pound", "on ice".

What such a word is, its neighbours tell: a name has an article or another food before it, or opens a clause
and is told of; anything else says how, how much, or where.
"""

from __future__ import annotations

from collections.abc import Iterator

from intents.dishes import may_be_dish
from intents.language import language
from intents.lexicon import Lexicon, Span
from intents.mentions import READ, Understanding

NOT_FOOD = "not_food"
"""The concept of words that hold a food's name and are none."""
_NEAR, _TWO = 4, 2


def no_foods(heard: Understanding, lexicon: Lexicon) -> Iterator[Span]:
    """Give the words of ``heard`` that are no food there."""
    foods = heard.names.get("food", ())
    for food in foods:
        before = any(other.end == food.start for other in foods)
        beside = before or any(food.end == other.start for other in foods)
        none = _counts(heard, food) and not before
        none = none or (not beside and _says_how(heard, food, lexicon))
        none = none or _probed(heard, food, lexicon)
        if food.end == food.start + 1 and (none or _tells_of_others(heard.words, food, lexicon)):
            yield Span("concept", NOT_FOOD, food.start, food.end)


def _probed(heard: Understanding, food: Span, lexicon: Lexicon) -> bool:
    """True for the thigh of "chicken's out, one seventy in the thigh", where the probe stuck."""
    if heard.words[food.start] not in lexicon.list("probed_parts") or food.start < _TWO:
        return False
    leads, the = heard.words[food.start - _TWO], {heard.words[food.start - 1]} & lexicon.list("deed_articles")
    part = any(s.end == food.start - _TWO for s in heard.spans("measured_food"))
    stuck = leads in lexicon.list("probed_at") or (part and leads in lexicon.list("deed_of"))
    read = next((m for m in heard.measures if m.kind in READ and m.start < food.start), None)
    told = heard.words[: read.start] if read is not None else ()
    known = lexicon.small("read_at", "deed_doers", "hesitating", "openers", "told_now", "points_other")
    return bool(the and stuck and any(word not in known for word in told))


def _counts(heard: Understanding, food: Span) -> bool:
    """True for the quarter of "a quarter pound"."""
    return heard.words[food.start] in language(heard.language).numbers.number_words()


def _says_how(heard: Understanding, food: Span, lexicon: Lexicon) -> bool:
    """True for "jus threw it out", where it is no name, and for "sweet," and "sweet as", called out."""
    word, behind = heard.words[food.start], {*heard.words[food.end : food.end + 1]}
    ends = food.end in heard.breaks or bool(behind & lexicon.list("same_as"))
    opens = food.start == 0 or food.start in heard.breaks
    called_out = word in lexicon.list("exclaimed") and opens and ends
    return called_out or (word in lexicon.list("rarely_food") and not _stands_as_name(heard, food, lexicon))


def _stands_as_name(heard: Understanding, food: Span, lexicon: Lexicon) -> bool:
    """True behind an article, and where it is told of, first in a clause or behind words of a dish."""
    before, behind = heard.words[max(0, food.start - 1) : food.start], heard.words[food.end : food.end + 1]
    opens = not before or food.start in heard.breaks or may_be_dish(before, heard.language)
    told = {*behind} & lexicon.list("read_at") or any(heard.numbers_from(food.end))
    articles = lexicon.list("deed_articles") - lexicon.list("deed_it")
    return bool({*before} & articles or (opens and food.end not in heard.breaks and told))


def _tells_of_others(words: tuple[str, ...], food: Span, lexicon: Lexicon) -> bool:
    """True for the ice that food lies on, or that melted in its box, and for "a peach of a morning"."""
    before, behind = words[max(0, food.start - _TWO) : food.start], words[food.end : food.end + _NEAR]
    around = {*before} & lexicon.list("prepositions") or {*behind} & lexicon.list("melts")
    like = {*behind[:1]} & lexicon.list("deed_of") and {*behind[1:_TWO]} & lexicon.list("of_a_thing")
    return bool(like or (words[food.start] in lexicon.list("deed_foods") and around))
