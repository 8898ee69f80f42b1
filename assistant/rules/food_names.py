"""Finds a food by what a cook calls it: exact names and aliases, then words such as raw, cooked, ground.

Nothing is guessed. A name that no table knows gives ``None``; whoever asked then uses
``unknown_food`` and says so.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import combinations

from assistant.rules.foods import Food, all_foods, as_class, food_classes, foods_by_name
from assistant.rules.tables import read_table

_RAW_TAILS = {"raw", "live", "whole raw", "whole", "fresh", "unwashed", "whole unwashed", "to be cooked"}
"""What follows the comma where the bare word may stand for the food as it is bought."""

_REMEMBERED = 4096
"""Names whose food is kept: one turn asks for the same ones dozens of times."""


@dataclass(frozen=True, slots=True)
class Ambiguity:
    """A word that names several foods: the question to ask, and the food assumed until it is answered.

    ``matters_for`` lists the subjects in which the answers differ: place, cook, reheat, thaw, allergens.
    """

    word: str
    question: str
    matters_for: frozenset[str]
    assumed: Food


def normal(name: str) -> str:
    """Return ``name`` in lower case, without punctuation, single spaced."""
    plain = re.sub(r"[^a-z0-9 ]+", " ", name.lower().replace("'", "").replace("’", ""))
    return " ".join(plain.split())


@lru_cache(maxsize=_REMEMBERED)
def find_food(name: str) -> Food | None:
    """Return the food called ``name``, or ``None``; an ambiguous word gives the food assumed for it.

    The fewest qualifiers that leave a known name are taken out: "leftover ground beef" is ground beef
    that was cooked, not beef that was ground and cooked.
    """
    said = normal(name)
    found = _exact(said)
    if found is not None:
        return found
    plain, rows = _qualifiers_in(said)
    for count in range(len(rows) + 1):
        for taken in combinations(rows, count):
            base = _exact(_without(plain, taken))
            if base is not None:
                return _all_qualified(base, taken, said)
    return _dish_named_after(said)


def _dish_named_after(said: str) -> Food | None:
    """Return the soup for "pea soup": a dish with a food before it that needs no more care than the dish."""
    first, _, dish = said.rpartition(" ")
    of = _dishes().get(_fold(dish))
    inside = _exact(first) if of and _fold(first) not in _dishes() else None
    if inside is None or (of == "plants" and inside.raw_animal):
        return None
    return _exact(dish)


@lru_cache(maxsize=_REMEMBERED)
def same_food(one: str, other: str) -> bool:
    """True when two names mean one food ("chili", "the chilis"); the pea soup is not the lentil soup."""
    first, second = find_food(one), find_food(other)
    if first is None or second is None or first.name != second.name:
        return False
    inside = [_fold(said) if _exact(said) is None else "" for said in map(normal, (one, other))]
    return inside[0] == inside[1] or not any(map(_dish_named_after, inside))


@cache
def _dishes() -> Mapping[str, str]:
    return {row["dish"]: row["of"] for row in read_table("food_dishes")}


def ambiguity(name: str) -> Ambiguity | None:
    """Return the question that ``name`` needs, or ``None`` where the word is clear."""
    said = normal(name)
    plain, rows = _qualifiers_in(said)
    row = _ambiguous_rows().get(_fold(said)) or _ambiguous_rows().get(_fold(plain))
    if row is None or rows:
        return None
    subjects = frozenset(row["matters_for"].split("; "))
    return Ambiguity(row["word"], row["question"], subjects, foods_by_name()[row["assume"]])


def _qualifiers_in(said: str) -> tuple[str, tuple[Mapping[str, str], ...]]:
    """Return ``said`` without filler words, and the rows of the qualifiers it holds."""
    rest = said
    plain = said
    rows: list[Mapping[str, str]] = []
    for row in _qualifier_rows():
        if f" {row['words']} " not in f" {rest} ":
            continue
        rest = _without(rest, (row,))
        if row["qualifier"] == "plain":
            plain = _without(plain, (row,))
        else:
            rows.append(row)
    return plain, tuple(rows)


def _without(said: str, rows: tuple[Mapping[str, str], ...]) -> str:
    padded = f" {said} "
    for row in rows:
        padded = padded.replace(f" {row['words']} ", " ", 1)
    return " ".join(padded.split())


def _all_qualified(food: Food, rows: tuple[Mapping[str, str], ...], said: str) -> Food | None:
    found: Food | None = food
    for row in rows:
        found = None if found is None else _qualified(found, row["qualifier"], said)
    return found


def _exact(said: str) -> Food | None:
    row = _ambiguous_rows().get(_fold(said))
    if row is not None:
        return foods_by_name()[row["assume"]]
    return _index().get(said) or _folded_index().get(_fold(said))


def _qualified(food: Food, qualifier: str, said: str) -> Food | None:
    """Return ``food`` as the qualifier makes it, or ``None`` where the two do not go together."""
    if qualifier == "undercooked":
        return food
    target = _variants().get((qualifier, food.food_class))
    if target is not None:
        return food if target == food.food_class else as_class(food, target, said)
    return food if qualifier in {"cooked", "precooked", "washed"} and food.ready_to_eat else None


@cache
def _variants() -> Mapping[tuple[str, str], str]:
    known = food_classes()
    return {
        (row["qualifier"], row["from_class"]): known[row["to_class"]].name
        for row in read_table("food_variants")
    }


@cache
def _qualifier_rows() -> tuple[Mapping[str, str], ...]:
    """Longest phrases first, so that "not cooked" is read before "cooked"."""
    return tuple(sorted(read_table("food_qualifiers"), key=lambda row: -len(row["words"])))


@cache
def _ambiguous_rows() -> Mapping[str, Mapping[str, str]]:
    return {_fold(row["word"]): row for row in read_table("ambiguous_words")}


@cache
def _index() -> Mapping[str, Food]:
    """Every name and alias, normalised. An earlier food keeps a name that a later one repeats."""
    index: dict[str, Food] = {}
    for food in all_foods():
        for called in (food.name, _turned(food.name), *food.aliases):
            index.setdefault(normal(called), food)
    for food in all_foods():
        head, _, tail = food.name.partition(", ")
        if tail in _RAW_TAILS:
            index.setdefault(normal(head), food)
    return index


@cache
def _folded_index() -> Mapping[str, Food]:
    """The same by singular form, without the forms that would name two foods."""
    index: dict[str, Food] = {}
    clashes: set[str] = set()
    for called, food in _index().items():
        folded = _fold(called)
        if index.setdefault(folded, food) is not food:
            clashes.add(folded)
    return {folded: food for folded, food in index.items() if folded not in clashes}


def _turned(name: str) -> str:
    """Return "chicken thighs, raw" as it is said: "raw chicken thighs"."""
    head, _, tail = name.partition(", ")
    return f"{tail} {head}"


def _fold(said: str) -> str:
    return " ".join(_singular(word) for word in said.split())


def _singular(word: str) -> str:
    if len(word) < 4 or word.endswith(("ss", "us")):
        return word
    if word.endswith("ies"):
        return word[:-3] + "y"
    if word.endswith(("shes", "ches", "xes", "sses", "toes")):
        return word[:-2]
    return word.removesuffix("s")
