"""The spoken names of foods for the finder, and the words before or after a name that qualify it."""

from __future__ import annotations

from functools import cache

from assistant.rules.food_names import find_food, normal
from assistant.rules.foods import all_foods
from assistant.rules.tables import read_table
from intents.lexicon import Span

_LONGEST = 4  # words of the longest qualifier


@cache
def food_phrases() -> tuple[tuple[str, str], ...]:
    """Return ``(spoken phrase, the same phrase)`` for every food name, alias and ambiguous word."""
    phrases: set[str] = set()
    for food in all_foods():
        head, _, tail = food.name.partition(", ")
        for called in (food.name, head, f"{tail} {head}", *food.aliases):
            phrases.update(_numbers_of(normal(called)))
    for row in read_table("ambiguous_words"):
        phrases.update(_numbers_of(normal(row["word"])))
    return tuple((phrase, phrase) for phrase in sorted(phrases) if phrase and find_food(phrase) is not None)


def _numbers_of(phrase: str) -> set[str]:
    """Return a phrase in singular and plural, whichever the table has."""
    return {phrase, phrase.removesuffix("s") if not phrase.endswith("ss") else phrase, f"{phrase}s"}


@cache
def _qualifiers() -> frozenset[tuple[str, ...]]:
    rows = read_table("food_qualifiers")
    return frozenset(tuple(row["words"].split()) for row in rows if row["qualifier"] != "plain")


def qualified(words: tuple[str, ...], spans: tuple[Span, ...]) -> tuple[Span, ...]:
    """Widen each food to the qualifiers around it ("leftover ground beef", "oysters for the raw bar").

    A widened phrase counts only when the rules know it.
    """
    widened: list[Span] = []
    taken = 0
    for number, span in enumerate(spans):
        limit = spans[number + 1].start if number + 1 < len(spans) else len(words)
        start = _reach_back(words, span, taken)
        end = _reach_on(words, start, span.end, limit)
        widened.append(Span("food", " ".join(words[start:end]), start, end))
        taken = end
    return tuple(widened)


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
    after = [n for n in range(1, _LONGEST + 1) if end + n <= most and words[end : end + n] in _qualifiers()]
    if after and find_food(" ".join(words[start : end + max(after)])) is not None:
        return end + max(after)
    return end
