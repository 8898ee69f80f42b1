"""The spoken names of foods for the finder, and the words before or after a name that qualify it."""

from __future__ import annotations

from functools import cache

from assistant.rules.food_names import find_food, normal
from assistant.rules.foods import all_foods
from assistant.rules.tables import read_table
from intents.kept import kept
from intents.lexicon import Span

_OF_ANY_MEAT = ("comminuted_meat", "stuffed_animal_food")
_MANY_KINDS = {"fish", "mollusc", "crustacean", "mixed", "unknown"}
"""Words for many animals: "salmon, tuna" are two foods."""
_LONGEST = 4  # words of the longest qualifier


@cache
def food_phrases() -> tuple[tuple[str, str], ...]:
    """Return ``(spoken phrase, the same phrase)`` for every food name, alias and ambiguous word."""
    return tuple((phrase, phrase) for phrase in kept("food-phrases", _food_phrases))


def _food_phrases() -> list[str]:
    phrases: set[str] = set()
    for food in all_foods():
        head, _, tail = food.name.partition(", ")
        for called in (food.name, head, f"{tail} {head}", *food.aliases):
            phrases.update(_numbers_of(normal(called)))
    for row in read_table("ambiguous_words"):
        phrases.update(_numbers_of(normal(row["word"])))
    return [phrase for phrase in sorted(phrases) if phrase and find_food(phrase) is not None]


def _numbers_of(phrase: str) -> set[str]:
    """Return a phrase in singular and plural, whichever the table has."""
    return {phrase, phrase.removesuffix("s") if not phrase.endswith("ss") else phrase, f"{phrase}s"}


@cache
def _forms() -> frozenset[str]:
    return frozenset(row["form"] for row in read_table("food_forms"))


@cache
def _qualifiers() -> frozenset[tuple[str, ...]]:
    rows = read_table("food_qualifiers")
    return frozenset(tuple(row["words"].split()) for row in rows if row["qualifier"] != "plain")


def qualified(words: tuple[str, ...], spans: tuple[Span, ...]) -> tuple[Span, ...]:
    """Widen each food to the qualifiers around it ("leftover ground beef", "oysters for the raw bar").

    A widened phrase counts only when the rules know it.
    """
    spans = tuple(s for i, s in enumerate(spans) if not _only_qualifies(words, s, spans[i + 1 : i + 2]))
    widened: list[Span] = []
    taken = 0
    for number, span in enumerate(spans):
        limit = spans[number + 1].start if number + 1 < len(spans) else len(words)
        start = _reach_back(words, span, taken)
        end = _reach_on(words, start, span.end, limit)
        start += _is_told(words, start, end)
        widened.append(Span("food", _meant(words, span, start, end), start, end))
        taken = end
    return _joined(words, widened)


def _meant(words: tuple[str, ...], span: Span, start: int, end: int) -> str:
    """Return the food's words; a name of the menu becomes its food, with what is said around it."""
    before, own, after = words[start : span.start], words[span.start : span.end], words[span.end : end]
    if span.value in (" ".join(own), "") or start > span.start:
        return " ".join(words[start:end])
    return " ".join((*before, span.value, *after))


def _is_told(words: tuple[str, ...], start: int, end: int) -> bool:
    """True for "cooked chicken to one forty five": what was done with it, not that it is cooked food."""
    return end - start > 1 and words[start] == "cooked" and words[end : end + 1] == ("to",)


def _joined(words: tuple[str, ...], spans: list[Span]) -> tuple[Span, ...]:
    """Make one food of an animal and a form of food ("turkey meatballs"): the one that needs more cooking.

    Other names in a row are a list ("salmon, chicken, lettuce"; commas are not heard).
    """
    found: list[Span] = []
    for span in spans:
        if (
            found
            and found[-1].end == span.start
            and (
                span.value in _forms()
                or _dish_of(found[-1], span)
                or _alike(found[-1], span)
                or _named_after(found[-1], span)
            )
        ):
            first = found.pop()
            value = " ".join(words[first.start : span.end])
            span = Span("food", value if find_food(value) else _stricter(first, span), first.start, span.end)
        found.append(span)
    return tuple(found)


def _alike(first: Span, span: Span) -> bool:
    """True for "chicken" before "quarters": an animal and a cut of it in a row are one food."""
    a, b = find_food(first.value), find_food(span.value)
    if a is None or b is None or not a.raw_animal or a.species in _MANY_KINDS:
        return False
    return (a.food_class, a.species) == (b.food_class, b.species)


def _named_after(first: Span, span: Span) -> bool:
    """True for "pea" before "soup": the rules know the dish by that name."""
    one_word = span.end - span.start == 1
    return one_word and find_food(f"{first.value} {span.value}") is not None


def _dish_of(first: Span, span: Span) -> bool:
    """True for "raw lamb" before "kofta": one word for minced or filled meat, said raw of that animal."""
    food = find_food(span.value)
    one_word = span.end - span.start == 1 and first.value.startswith("raw ")
    return one_word and food is not None and food.food_class in _OF_ANY_MEAT


def _stricter(first: Span, second: Span) -> str:
    a, b = find_food(first.value), find_food(second.value)
    return first.value if a is not None and (b is None or a.high > b.high) else second.value


def _only_qualifies(words: tuple[str, ...], span: Span, following: tuple[Span, ...]) -> bool:
    """True for "leftover" right before "rice": a name by itself, here a word about the next one."""
    near = bool(following) and following[0].start == span.end
    return near and words[span.start : span.end] in _qualifiers()


def _reach_back(words: tuple[str, ...], span: Span, least: int) -> int:
    start = span.start
    for _ in range(2):
        before = [
            n
            for n in range(1, _LONGEST + 1)
            if start - n >= least and words[start - n : start] in _qualifiers()
        ]
        if not before or find_food(" ".join(words[start - max(before) : span.end])) is None:
            break
        start -= max(before)
    return start


def _reach_on(words: tuple[str, ...], start: int, end: int, most: int) -> int:
    after = (
        []
        if _verb_follows(words, end)
        else [n for n in range(1, _LONGEST + 1) if end + n <= most and words[end : end + n] in _qualifiers()]
    )
    if after and find_food(" ".join(words[start : end + max(after)])) is not None:
        return end + max(after)
    return end


def _verb_follows(words: tuple[str, ...], end: int) -> bool:
    """True where the next word tells what was done to what degree ("chicken cooked to one sixty five")."""
    return words[end + 1 : end + 2] in (("to",), ("at",), ("through",))
