"""Placing foods on the shelves of one unit, and what to move where its content is wrong.

Shelves are counted from the top: shelf 1 is the highest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.rules.basis import Citation
from assistant.rules.foods import Food
from assistant.rules.storage import may_be_above, same_need

LIMITED_SPACE = Citation("common practice, no source", "limited space", flag="PRACTICE")


@dataclass(frozen=True, slots=True)
class Fault:
    """Two foods that stand wrongly: ``upper`` over ``lower``, or side by side if ``same_shelf``.

    Ready-to-eat food that raw food may have dripped on has to be looked at: ``ready_to_eat_below``.
    """

    upper: Food
    lower: Food
    same_shelf: bool
    ready_to_eat_below: bool


def find_faults(contents: Sequence[tuple[Food, int]]) -> tuple[Fault, ...]:
    """Return every pair that stands wrongly, given each food with its shelf from the top."""
    faults = []
    for index, (a, shelf_a) in enumerate(contents):
        for b, shelf_b in contents[index + 1 :]:
            upper, lower = (a, b) if shelf_a <= shelf_b else (b, a)
            fault = _fault(upper, lower, same_shelf=shelf_a == shelf_b)
            if fault is not None:
                faults.append(fault)
    return tuple(faults)


def _fault(upper: Food, lower: Food, *, same_shelf: bool) -> Fault | None:
    if same_shelf:
        if upper.raw_animal == lower.raw_animal:
            return None
        raw, other = (upper, lower) if upper.raw_animal else (lower, upper)
        return Fault(raw, other, same_shelf=True, ready_to_eat_below=other.ready_to_eat)
    if may_be_above(upper, lower) or same_need(upper, lower):
        return None
    return Fault(upper, lower, same_shelf=False, ready_to_eat_below=upper.raw_animal and lower.ready_to_eat)
