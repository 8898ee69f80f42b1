"""Which of two foods was said to be above the other: by the roles of their words, and by over and under."""

from __future__ import annotations

from assistant.dialogue.slots import Slots

OVER, UNDER, BESIDE = "above", "below", "beside"
"""The concepts of words that put one food over or under another; and the roles of the foods."""

NEAR = 2
"""So many words at most from "over" to the food that it is over, an article between them."""


def relation_told(slots: Slots) -> bool:
    """True when something was said to be over or under something else."""
    return slots.has(OVER, UNDER) or (not slots.has(BESIDE) and _by_roles(slots) is not None)


def arranged(slots: Slots) -> tuple[int, int] | None:
    """Return the indexes of the upper and the lower food, or ``None`` where that cannot be told surely.

    Roles and words have to agree where both tell: "can the lettuce go under the raw chicken" must never be
    taken for its reverse. "Above or below the bacon" asks for the order.
    """
    if slots.has(OVER) and slots.has(UNDER):
        return None
    roles, words = _by_roles(slots), _by_words(slots)
    if roles is not None and words is not None:
        return roles if roles == words else None
    return roles or words


def _by_roles(slots: Slots) -> tuple[int, int] | None:
    upper = [i for i in range(len(slots.foods)) if OVER in slots.food_roles(i)]
    lower = [i for i in range(len(slots.foods)) if UNDER in slots.food_roles(i)]
    return (upper[0], lower[0]) if len(upper) == 1 and len(lower) == 1 and upper != lower else None


def _by_words(slots: Slots) -> tuple[int, int] | None:
    """Return what "the lettuce under the chicken" says; ``None`` without a food on either side."""
    said = [(at, name) for at, name in slots.concept_order if name in (OVER, UNDER)]
    if len({name for _, name in said}) != 1 or len(slots.food_spans) != len(slots.foods):
        return None
    at, name = said[0]
    before = [i for i, (_, end) in enumerate(slots.food_spans) if end <= at]
    after = [i for i, (start, _) in enumerate(slots.food_spans) if start >= at]
    if not before or not after:
        return None
    pair = (before[-1], after[0])
    return pair if name == OVER else (pair[1], pair[0])
