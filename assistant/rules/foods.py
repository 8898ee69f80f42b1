"""Foods as values: what kind a food is, how far it must be cooked, and where it may be kept.

Every food belongs to one class of ``tables/food_classes.csv``; the class carries the cook group, the
cook range that the storage rule compares, and the source. The named foods are in ``tables/foods.csv``,
words for a kind of animal with no cut named in ``tables/foods_general.csv``, and dishes of many
cuisines in ``tables/foods_world.csv``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal, cast

from assistant.rules.basis import Citation, Flag
from assistant.rules.tables import read_table

_LASTING_NOTES = {
    "allergens_vary",
    "check_label",
    "ciguatera",
    "not_a_major_allergen",
    "scombroid",
    "toxin_remains",
}
"""Notes that stay true of a food however it was prepared."""

Reheat = Literal["", "house", "commercial"]
"""How a food counts when reheated: cooked in house, cooked and packed by a plant, or not reheated."""


@dataclass(frozen=True, slots=True)
class FoodClass:
    """One row of the class table. ``low`` and ``high`` are the cook range in degrees Fahrenheit."""

    name: str
    ready_to_eat: bool
    cook_group: str
    low: int
    high: int
    tier: int
    reheat: Reheat
    citation: Citation


@dataclass(frozen=True, slots=True)
class Food:
    """A food with everything the rules need to know of it.

    ``low`` and ``high`` (degrees Fahrenheit, model code) are the least and the most cooking the food may
    need: 0 for ready-to-eat food, 1 for unwashed produce, equal numbers where the need is certain.
    ``tier`` runs from 1 (ready to eat) to 5 (165 F food). ``allergens`` are those of the usual recipe: a
    hint to check the label, never a promise. ``notes`` are codes listed in ``tables/food_notes.csv``.
    """

    name: str
    food_class: str
    species: str
    ready_to_eat: bool
    cook_group: str
    low: int
    high: int
    tier: int
    tcs: bool
    reheat: Reheat
    allergens: tuple[str, ...]
    notes: tuple[str, ...]
    citation: Citation
    aliases: tuple[str, ...] = ()

    @property
    def known(self) -> bool:
        """False for food that no table names: its answer is the stricter one and has to say so."""
        return self.cook_group != "unknown"

    @property
    def raw_animal(self) -> bool:
        """True for animal food that still needs cooking, or whose kind is not known."""
        return self.high >= 145

    @property
    def served_raw(self) -> bool:
        """True for animal food meant to be eaten raw: stored with ready-to-eat food, yet apart from it."""
        return self.food_class in {
            "fish_for_raw_service",
            "mollusc_for_raw_service",
            "meat_for_raw_service",
        }


_LOOSE_SPECIES = {"mixed", "unknown", "game", "other_poultry"}
"""Words that cover several animals, so that two foods under one of them may be different ones."""


def same_kind(a: Food, b: Food) -> bool:
    """True if both are surely of one kind of animal or plant; food nobody knows never is."""
    if not (a.known and b.known):
        return False
    return a.name == b.name or (a.species == b.species and a.species not in _LOOSE_SPECIES)


@cache
def food_classes() -> Mapping[str, FoodClass]:
    """Return every class by name."""
    return {row["food_class"]: _class(row) for row in read_table("food_classes")}


@cache
def all_foods() -> tuple[Food, ...]:
    """Return every named food, the general words last."""
    rows = (*read_table("foods"), *read_table("foods_general"), *read_table("foods_world"))
    return tuple(_food(row) for row in rows)


@cache
def foods_by_name() -> Mapping[str, Food]:
    """Return every food by its name exactly as the tables write it."""
    return {food.name: food for food in all_foods()}


def as_class(food: Food, class_name: str, name: str) -> Food:
    """Return ``food`` as a member of another class (raw chicken that was cooked, meat that was ground)."""
    kind = food_classes()[class_name]
    return replace(
        food,
        name=name,
        food_class=kind.name,
        ready_to_eat=kind.ready_to_eat,
        cook_group=kind.cook_group,
        low=kind.low,
        high=kind.high,
        tier=kind.tier,
        reheat=kind.reheat,
        tcs=True if kind.cook_group or kind.reheat else food.tcs,
        notes=tuple(note for note in food.notes if note in _LASTING_NOTES),
        aliases=(),
        citation=kind.citation,
    )


def unknown_food(name: str, *, raw_animal: bool = False) -> Food:
    """Return the cautious stand-in for a food that no table names.

    It counts as time and temperature controlled, as 165 F food above others, and as ready to eat (raw
    animal food: as 145 F food) below others.
    """
    kind = food_classes()["unknown_raw_animal" if raw_animal else "unknown_food"]
    return Food(
        name,
        kind.name,
        "unknown",
        False,
        kind.cook_group,
        kind.low,
        kind.high,
        kind.tier,
        True,
        kind.reheat,
        (),
        (),
        kind.citation,
    )


def with_eggs_to_order(food: Food) -> Food:
    """Return ``food``, or shell eggs as a sure 145 F food where the site only cooks them to order."""
    if food.cook_group != "eggs_to_order":
        return food
    return replace(food, high=food.low)


def _class(row: Mapping[str, str]) -> FoodClass:
    source = Citation(row["document"], row["section"], flag=cast(Flag, row["flag"]), note=row["note"])
    return FoodClass(
        row["food_class"],
        row["ready_to_eat"] == "yes",
        row["cook_group"],
        int(row["low"]),
        int(row["high"]),
        int(row["tier"]),
        cast(Reheat, row["reheat"]),
        source,
    )


def _food(row: Mapping[str, str]) -> Food:
    kind = food_classes()[row["food_class"]]
    source = Citation(kind.citation.document, row["section"], flag=cast(Flag, row["flag"]))
    return Food(
        row["name"],
        kind.name,
        row["species"],
        kind.ready_to_eat,
        kind.cook_group,
        kind.low,
        kind.high,
        kind.tier,
        row["tcs"] == "yes",
        kind.reheat,
        _codes(row["allergens"]),
        _codes(row["notes"]),
        source,
        _codes(row["aliases"]),
    )


def _codes(text: str) -> tuple[str, ...]:
    return tuple(part for part in text.split("; ") if part)
