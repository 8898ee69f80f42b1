"""Placing foods on the shelves of one unit, and what to move where its content is wrong.

Shelves are counted from the top: shelf 1 is the highest.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from assistant.rules.basis import Citation
from assistant.rules.foods import Food
from assistant.rules.storage import SEPARATION, Order, kept_apart, may_be_above, same_need, storage_order

LIMITED_SPACE = Citation("common practice, no source", "limited space", flag="PRACTICE")


@dataclass(frozen=True, slots=True)
class Placement:
    """A food on a shelf counted from the top. ``apart`` asks for its own covered container and a gap."""

    food: Food
    shelf: int
    apart: bool = False


@dataclass(frozen=True, slots=True)
class UnitPlan:
    """Where everything goes. ``limited`` is true where raw foods have to share the bottom shelf.

    ``elsewhere`` holds what cannot stand in this unit at all.
    """

    placements: tuple[Placement, ...]
    elsewhere: tuple[Food, ...]
    limited: bool
    citations: tuple[Citation, ...] = (SEPARATION,)


@dataclass(frozen=True, slots=True)
class Fault:
    """Two foods that stand wrongly: ``upper`` over ``lower``, or side by side if ``same_shelf``.

    Ready-to-eat food that raw food may have dripped on has to be looked at: ``ready_to_eat_below``.
    """

    upper: Food
    lower: Food
    same_shelf: bool
    ready_to_eat_below: bool


@dataclass(frozen=True, slots=True)
class Move:
    """Take ``food`` from one shelf to another; ``to_shelf`` is ``None`` for another unit."""

    food: Food
    from_shelf: int
    to_shelf: int | None


def place_in_unit(foods: Iterable[Food], shelves: int) -> UnitPlan:
    """Return a place for every food: ready-to-eat food from the top, raw food from the bottom up.

    Where there are fewer shelves than levels, raw animal foods share the bottom shelf in separate
    covered containers. With a single shelf raw and ready-to-eat food cannot both stand there.
    Raises ``ValueError`` for a unit without shelves.
    """
    if shelves < 1:
        raise ValueError("a unit has at least one shelf")
    order = storage_order(foods)
    if len(order.levels) <= shelves:
        return UnitPlan(_spread(order.levels, shelves), order.apart, limited=False)
    return _squeezed(order, shelves)


def shelf_for(food: Food, shelves: int) -> int:
    """Return the shelf (from the top) that ``food`` has in a unit that holds every kind of food.

    The lowest is kept for 165 F food, the next for 155 F, the next for 145 F, above it unwashed produce;
    ready-to-eat food has the top. Food of unknown kind goes to the lowest.
    """
    if food.tier == 1:
        return 1
    return max(1, shelves - (5 - food.tier))


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


def moves(contents: Sequence[tuple[Food, int]], shelves: int) -> tuple[Move, ...]:
    """Return the moves that put a unit right, raw food of the greatest cook need first.

    Each moved food goes to the nearest shelf to its usual place where it is in order with all the rest;
    where there is none it leaves the unit.
    """
    where: list[tuple[Food, int]] = list(contents)
    done: list[Move] = []
    while faults := find_faults(where):
        index = _to_move(where, faults)
        food, shelf = where.pop(index)
        target = _free_shelf(food, where, shelves)
        done.append(Move(food, shelf, target))
        if target is not None:
            where.append((food, target))
    return tuple(done)


def side_by_side(foods: Sequence[Food]) -> tuple[tuple[Food, Food], ...]:
    """Return the pairs on one shelf that need a gap and their own covered containers."""
    return tuple((a, b) for index, a in enumerate(foods) for b in foods[index + 1 :] if kept_apart(a, b))


def _spread(levels: tuple[tuple[Food, ...], ...], shelves: int) -> tuple[Placement, ...]:
    """Raw levels take the lowest shelves, one each; the others start at the top."""
    raw = [level for level in levels if level[0].raw_animal]
    upper = [level for level in levels if not level[0].raw_animal]
    rows = [*enumerate(upper, 1), *enumerate(raw, shelves - len(raw) + 1)]
    return tuple(_placed(food, level, shelf) for shelf, level in rows for food in level)


def _squeezed(order: Order, shelves: int) -> UnitPlan:
    """Bring levels together until they fit: first raw on the bottom shelf, then the rest on the top."""
    raw = [level for level in order.levels if level[0].raw_animal]
    upper = [level for level in order.levels if not level[0].raw_animal]
    while len(upper) + len(raw) > shelves and len(raw) > 1:
        raw[-2:] = [raw[-2] + raw[-1]]
    while len(upper) + len(raw) > shelves and len(upper) > 1:
        upper[:2] = [upper[0] + upper[1]]
    kept = (*upper, *raw)
    over = tuple(food for level in kept[shelves:] for food in level)
    placements = _spread(kept[:shelves], shelves)
    return UnitPlan(placements, order.apart + over, limited=True, citations=(SEPARATION, LIMITED_SPACE))


def _placed(food: Food, level: Sequence[Food], shelf: int) -> Placement:
    return Placement(food, shelf, any(kept_apart(food, other) for other in level if other is not food))


def _fault(upper: Food, lower: Food, *, same_shelf: bool) -> Fault | None:
    if same_shelf:
        if upper.raw_animal == lower.raw_animal:
            return None
        raw, other = (upper, lower) if upper.raw_animal else (lower, upper)
        return Fault(raw, other, same_shelf=True, ready_to_eat_below=other.ready_to_eat)
    if may_be_above(upper, lower) or same_need(upper, lower):
        return None
    return Fault(upper, lower, same_shelf=False, ready_to_eat_below=upper.raw_animal and lower.ready_to_eat)


def _to_move(where: Sequence[tuple[Food, int]], faults: Sequence[Fault]) -> int:
    """The food in most faults, the one of greater cook need first, is the one to move."""

    def weight(index: int) -> tuple[int, int, int]:
        food, shelf = where[index]
        return (sum(food in (fault.upper, fault.lower) for fault in faults), food.high, -shelf)

    return max(range(len(where)), key=weight)


def _free_shelf(food: Food, others: Sequence[tuple[Food, int]], shelves: int) -> int | None:
    usual = shelf_for(food, shelves)
    nearest_first = sorted(range(1, shelves + 1), key=lambda shelf: (abs(shelf - usual), -shelf))
    for shelf in nearest_first:
        pairs = [(food, other) if shelf <= at else (other, food) for other, at in others]
        same = [shelf == at for _, at in others]
        if not any(_fault(*pair, same_shelf=level) for pair, level in zip(pairs, same, strict=True)):
            return shelf
    return None
