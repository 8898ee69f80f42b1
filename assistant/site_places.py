"""A site's places as they are spoken of: "bucket one" and "bucket two" are one bucket with two numbers."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from intents.language import language

if TYPE_CHECKING:
    from assistant.site import Equipment

Pairs = tuple[tuple[str, str], ...]
_NUMBER_WORDS = "zero one two three four five six seven eight nine ten eleven twelve".split()


def as_spoken_of(equipment: tuple[Equipment, ...], code: str) -> tuple[Equipment, ...]:
    """Return the equipment with those that differ in nothing but their number as one that has numbers.

    Only where the ids do so, too ("bucket 1"), so that every id stays what it is.
    """
    heads = {item.id: _numbered(item, code) for item in equipment}
    found: dict[str, Equipment] = {}
    for item in equipment:
        head, number = heads[item.id]
        alike = [other for other in equipment if head and heads[other.id][0] == head]
        same = {(other.kind, other.product, _head(other.name)) for other in alike}
        if len(alike) < 2 or len(same) > 1 or head in heads:
            found[item.id] = item
            continue
        family = found.get(head) or item.model_copy(update={"id": head, "name": _head(item.name), "also": ()})
        also = (_head(name) for name in item.also if _number_said(name, code) == number)
        numbers, names = sorted((*family.numbers, number)), dict.fromkeys((*family.also, *also))
        found[head] = family.model_copy(update={"numbers": tuple(numbers), "also": tuple(names)})
    return tuple(found.values())


@lru_cache(maxsize=32)
def phrases(equipment: tuple[Equipment, ...], places: tuple[Equipment, ...], code: str) -> Pairs:
    """Return ``(spoken phrase, place id)`` for every name and number that may be said."""
    pairs = [(name, item.id) for item in equipment for name in (item.name, *item.also)]
    for item in places:
        for name in (item.name, *item.also):
            pairs.append((name, item.id))
            for n in item.numbers:
                spoken = [str(n)] + ([_NUMBER_WORDS[n]] if n < len(_NUMBER_WORDS) else [])
                for word in (*spoken, language(code).spell.say_integer(n)):
                    pairs += [
                        (f"{name} {word}", f"{item.id} {n}"),
                        (f"{name} number {word}", f"{item.id} {n}"),
                    ]
    return tuple(dict.fromkeys(pairs))


@lru_cache(maxsize=32)
def _head(name: str) -> str:
    return name.rpartition(" ")[0]


def _number_said(name: str, code: str) -> int:
    """Return the number at the end of a name ("trolley two": 2), or 0."""
    values = language(code).numbers.values((name.split()[-1],)) if _head(name) else frozenset()
    return int(min(values)) if len(values) == 1 else 0


def _numbered(item: Equipment, code: str) -> tuple[str, int]:
    """Return the id without its number, and the number, of a place that is named by number; else nothing."""
    number = _number_said(item.name, code)
    numbered = number and item.id.rpartition(" ")[2] == str(number) and not item.numbers
    return (_head(item.id), number) if numbered and _head(item.id) else ("", 0)
