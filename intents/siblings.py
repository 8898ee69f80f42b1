"""Whose a number is by what stands before it: a sibling of the place, a list, a food of another clause."""

from __future__ import annotations

from decimal import Decimal

from intents.language import language
from intents.lexicon import Lexicon, Span
from intents.mentions import Understanding

_MOST = 9
_BEFORE_A_PLACE = (
    "hesitating", "correction_openers", "deed_joints", "openers", "number_word", "prepositions",
)  # fmt: skip


def sibling_number(heard: Understanding, at: int, lexicon: Lexicon) -> int | None:
    """Return the number of a place said alone in the word at ``at``, or ``None``.

    A word such as "is" follows it, or a number of its own; "the warm one" is no place's number.
    """
    words = heard.words
    if at + 1 >= len(words) or stands_for_a_thing(heard, at, lexicon):
        return None
    told = words[at + 1] in lexicon.list("read_at") and at + 2 < len(words)
    if not told and not heard.numbers_from(at + 1):
        return None
    alone = [options for end, options in heard.numbers_from(at) if end == at + 1]
    values = alone[0] if alone else frozenset()
    return next((int(value) for value in values if value in range(1, _MOST + 1)), None)


def stands_for_a_thing(heard: Understanding, at: int, lexicon: Lexicon) -> bool:
    """True for the one of "each one" and "the warm one", not where it begins what is said of a place."""
    words, numbers = heard.words, language(lexicon.language).numbers
    if words[at] not in lexicon.list("batch_one") or at in heard.breaks | {m.end for m in heard.measures}:
        return False
    opening = frozenset().union(*map(lexicon.list, _BEFORE_A_PLACE))
    return at > 0 and not numbers.is_number_word(words[at - 1]) and words[at - 1] not in opening


def in_one(heard: Understanding, at: int, stop: int) -> frozenset[Decimal]:
    """Return what a place's number said alone at ``at`` and the number behind it can mean as one number."""
    last = max((end for end, _ in heard.numbers_from(at + 1) if end <= stop), default=0)
    return frozenset().union(*(found for end, found in heard.numbers_from(at) if end == last))


def of_a_list(words: tuple[str, ...], after: int, at: int, lexicon: Lexicon) -> bool:
    """True for the two of "freezer one and two", a place as well: ``after`` is where the first one ends."""
    between, numbers = set(words[after:at]), language(lexicon.language).numbers
    return (
        bool(between) and between <= lexicon.list("list_joins") and numbers.is_number_word(words[after - 1])
    )


def of_another_clause(heard: Understanding, food: Span, place: Span, number: int) -> bool:
    """True for a food parted from a place that has its number: "full of beans, larder thirty seven"."""
    parted = food.kind == "food" and heard.breaks & {*range(food.end, place.start + 1)}
    return bool(parted) and place.end <= number and not heard.breaks & {*range(place.end, number + 1)}
