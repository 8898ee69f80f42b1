"""Which food may stand above, below or beside which, and the order of any list from top to bottom.

The model code asks that raw animal foods cannot contaminate ready-to-eat food or each other; ordering by
cook need is how that is done on shelves. A food may be above another only if the most cooking it can
need is no more than the least the other needs, so whatever drips is cooked away below.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from assistant.rules.basis import Citation, Judgement, Verdict
from assistant.rules.foods import Food, same_kind

SEPARATION = Citation("FDA Food Code", "3-302.11(A)", note="separate raw animal food from ready-to-eat food")
COOK_ORDER = Citation(
    "city inspection note", "cross-contamination, order by cook temperature", note="applied by inspectors"
)

COVERING = Citation("FDA Food Code", "3-302.11(A)(4), (B)")
FRONT = Citation("common practice, no source", "front to back in a drawer", flag="PRACTICE")
PLACES = {
    "staff": Citation(
        "FDA Food Code", "6-403.11", flag="MEMORY", note="a place of their own for employees' food"
    ),
    "personal": Citation(
        "FDA Food Code", "6-305.11; 6-501.110", flag="MEMORY", note="lockers for clothes and possessions"
    ),
    "pipes": Citation("FDA Food Code", "3-305.12", flag="MEMORY", note="where food may not be stored"),
    "ice": Citation("FDA Food Code", "3-303.11", flag="MEMORY", note="ice that cooled things is not served"),
}
"""Sources for places that are not for food."""


class Pair(StrEnum):
    """Where two foods may stand in one unit."""

    A_ABOVE = "a above"
    B_ABOVE = "b above"
    EITHER = "either"
    EITHER_KEEP_SEPARATE = "either, kept separate"
    SEPARATE_NOT_STACKED = "separate, not stacked"


@dataclass(frozen=True, slots=True)
class PairAnswer:
    """Where two foods may stand, with the sources. ``assumed_unknown`` names foods no table knows."""

    placing: Pair
    citations: tuple[Citation, ...]
    assumed_unknown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Order:
    """Foods from top to bottom, one tuple a level; foods on a level stand side by side.

    ``apart`` holds foods that may be neither above nor below something in the list: they need a place
    of their own.
    """

    levels: tuple[tuple[Food, ...], ...]
    apart: tuple[Food, ...] = ()


def may_be_above(upper: Food, lower: Food) -> bool:
    """True if ``upper`` may stand above ``lower``."""
    return upper.high <= lower.low


def which_above(a: Food, b: Food) -> PairAnswer:
    """Return which of two foods goes above the other."""
    unknown = tuple(food.name for food in (a, b) if not food.known)
    return PairAnswer(_pair(a, b), (SEPARATION, COOK_ORDER, a.citation, b.citation), unknown)


def _pair(a: Food, b: Food) -> Pair:
    over, under = may_be_above(a, b), may_be_above(b, a)
    if (over and under) or same_need(a, b):
        return Pair.EITHER_KEEP_SEPARATE if kept_apart(a, b) else Pair.EITHER
    if a.served_raw != b.served_raw and not (a.raw_animal or b.raw_animal):
        return Pair.SEPARATE_NOT_STACKED  # raw oysters drip on salad, soil from produce falls on sushi
    if over:
        return Pair.A_ABOVE
    return Pair.B_ABOVE if under else Pair.SEPARATE_NOT_STACKED


def same_need(a: Food, b: Food) -> bool:
    """True for foods of one known kind of animal whose cook ranges are the same (two trays of eggs)."""
    return (a.low, a.high) == (b.low, b.high) and same_kind(a, b)


def kept_apart(a: Food, b: Food) -> bool:
    """True if two foods of one level must not touch.

    That is: different raw animals, one that is eaten raw, or unwashed produce with ready-to-eat food.
    """
    different = not same_kind(a, b)
    if a.ready_to_eat != b.ready_to_eat:
        return True
    if a.served_raw or b.served_raw:
        return different or a.served_raw != b.served_raw
    return different and a.raw_animal and b.raw_animal


def beside(a: Food, b: Food) -> Judgement:
    """Judge two foods side by side on one shelf.

    Raw animal foods may share a shelf in their own covered pans with a gap; raw and ready-to-eat food may
    not. ``details`` names the safer lower place of the food with the greater cook need, if there is one.
    """
    if a.raw_animal != b.raw_animal or not (a.known and b.known):
        return Judgement(Verdict.FAIL, "raw_beside_other_food", (SEPARATION,), action="store_raw_below")
    if kept_apart(a, b):
        lowest = {"lowest": max(a, b, key=lambda food: food.high).name} if a.high != b.high else {}
        return Judgement(
            Verdict.PASS, "apart_and_covered", (SEPARATION,), action="own_covered_pans", details={**lowest}
        )
    return Judgement(Verdict.PASS, "may_touch_shelf", (SEPARATION,))


def storage_order(foods: Iterable[Food]) -> Order:
    """Return the order of any foods from top to bottom.

    Foods whose need is certain are placed first; one with a wide range (eggs, unknown meat) then finds
    its level or, where something in the list is neither under nor over it, goes to ``apart``.
    """
    distinct = {food.name: food for food in foods}.values()
    certain_first = sorted(distinct, key=lambda food: (food.high - food.low, food.high, food.name))
    placed: list[Food] = []
    apart: list[Food] = []
    for food in certain_first:
        stackable = all(_pair(food, other) is not Pair.SEPARATE_NOT_STACKED for other in placed)
        (placed if stackable else apart).append(food)
    return Order(_levels(placed), tuple(apart))


def _levels(placed: Sequence[Food]) -> tuple[tuple[Food, ...], ...]:
    levels: dict[tuple[int, int], list[Food]] = {}
    for food in sorted(placed, key=lambda food: (food.high, food.low, food.name)):
        levels.setdefault((food.low, food.high), []).append(food)
    return tuple(tuple(level) for level in levels.values())


def front_to_back(foods: Iterable[Food]) -> Order:
    """Return the order in a cold top or drawer, front first: the greatest cook need at the front.

    Nothing raw then travels over another pan. Common practice, no source.
    """
    order = storage_order(foods)
    return Order(order.levels[::-1], order.apart)


def chemical_place(*, above_food: bool, beside_food: bool) -> Judgement:
    """Judge where a chemical stands: never above food, clean dishes or liners, and apart from them."""
    source = Citation("FDA Food Code", "7-201.11", flag="MEMORY")
    if above_food or beside_food:
        return Judgement(Verdict.FAIL, "chemical_near_food", (source,), action="store_below_and_apart")
    return Judgement(Verdict.PASS, "below_and_apart", (source,))


def damaged_goods() -> Citation:
    """Return the source for keeping damaged, spoiled or recalled food in its own marked place."""
    return Citation("FDA Food Code", "3-302.11(A)(7); 6-404.11")
