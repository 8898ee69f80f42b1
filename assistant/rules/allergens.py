"""Allergens: which are on the list in force, and what a usual recipe holds.

An answer here is a hint to read the label and ask the person in charge. Nothing in this program ever
calls a food free of an allergen or safe for a guest.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal, cast

from assistant.rules.basis import Citation, Flag
from assistant.rules.food_names import normal
from assistant.rules.foods import Food
from assistant.rules.profile import Profile
from assistant.rules.tables import read_table

AllergenList = Literal["us", "uk"]
HEAT = Citation("allergen guidance", "protein stays", flag="MEMORY", note="not undone by heat or sanitizer")


@dataclass(frozen=True, slots=True)
class AllergenAnswer:
    """Whether a word names an allergen of the list in force.

    ``allergen`` is its code on the list, empty if not listed; ``reacts_as`` names what people react to
    although the list lacks it (molluscs, mustard): not listed never means harmless.
    """

    listed: bool
    allergen: str
    reacts_as: str
    citation: Citation


def allergen_list(profile: Profile) -> AllergenList:
    """Return which list is in force: the nine of the United States or the fourteen of the United Kingdom."""
    return "uk" if profile.name == "united_kingdom" else "us"


@cache
def listed_allergens(which: AllergenList) -> tuple[str, ...]:
    """Return the codes of a list in the order of its table."""
    return tuple(row["allergen"] for row in read_table("allergens") if row["list"] == which)


def is_listed(word: str, profile: Profile) -> AllergenAnswer:
    """Return whether ``word`` (an ingredient or a kind of food) is an allergen of the list in force."""
    said = normal(word)
    for row in read_table("allergens"):
        if row["list"] == allergen_list(profile) and _named(said, row):
            return AllergenAnswer(True, row["allergen"], row["allergen"], _source(row))
    for row in read_table("other_reactions"):
        if _named(said, row):
            return AllergenAnswer(False, "", row["kind"], _source(row))
    nearest = next(row for row in read_table("allergens") if row["list"] == allergen_list(profile))
    return AllergenAnswer(False, "", "", _source(nearest))


def typical_allergens(food: Food, profile: Profile) -> tuple[str, ...]:
    """Return the listed allergens of the usual recipe of ``food``; the label and the chef decide.

    Where the list in force also has molluscs and cereals with gluten, these are added.
    """
    usual = list(food.allergens)
    if allergen_list(profile) == "uk":
        usual = ["gluten_cereal" if code == "wheat" else code for code in usual]
        if food.species == "mollusc":
            usual.append("mollusc")
    return tuple(dict.fromkeys(usual))


def _named(said: str, row: Mapping[str, str]) -> bool:
    words = row["words"].split("; ")
    return said in words or (said.endswith("s") and said[:-1] in words)


def _source(row: Mapping[str, str]) -> Citation:
    return Citation(row["document"], row["section"], flag=cast(Flag, row["flag"]))
