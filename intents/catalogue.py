"""The intents of a language pack, read from their tables: patterns, examples and replies.

A pattern is a line of needed meanings in any order: ``where {food} -thaw`` needs the concept
"where" and one food and refuses "thaw". ``a|b`` needs either, ``?a`` counts if present,
``{food} {food}`` needs two. ``event_*`` stands for every concept whose name begins so. In ``a|{food}`` and
``-{volume}`` a slot counts like a concept. A line of ``premises`` is a pattern of what is dangerous and
refused: it counts only where leave is asked or taken, and then whatever else was said. Examples double as
tests and feed the recogniser's vocabulary.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from intents.degrees import celsius
from intents.lexicon import data_folder, load_lexicon, tables
from intents.wording import wording

BASE = "en"
"""The language that has every intent."""

SLOT_KINDS = frozenset(
    {
        "food",
        "equipment",
        "temperature",
        "ppm",
        "percent",
        "volume",
        "weight",
        "duration",
        "clock",
        "number",
        "day",
        "person",
        "round",
    }
)


class CatalogueError(ValueError):
    """An intent table that cannot be used; the message names the file and the line to mend."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """One way to recognise an intent. ``needed`` holds alternatives; slot kinds count how many."""

    needed: tuple[tuple[str, ...], ...]
    slots: Mapping[str, int]
    optional: frozenset[str]
    avoid: frozenset[str]
    source: str
    refuses: bool = False


@dataclass(frozen=True, slots=True)
class Example:
    """A sentence that must match its intent, with the slots that it must give."""

    say: str
    slots: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Intent:
    """One thing that can be said, with everything derived from its table."""

    name: str
    topic: str
    about: str
    patterns: tuple[Pattern, ...]
    also: frozenset[str]
    examples: tuple[Example, ...]
    replies: Mapping[str, str]
    follow_up: bool
    asks: Mapping[str, str]


@dataclass(frozen=True)
class Catalogue:
    """All intents of one language by name; one that it lacks is taken from ``base``, if there is one."""

    language: str
    intents: Mapping[str, Intent]
    base: Catalogue | None = None
    unit: str = "F"

    def __getitem__(self, name: str) -> Intent:
        if name not in self.intents and self.base is not None:
            return self.base[name]
        return self.intents[name]

    def __contains__(self, name: str) -> bool:
        return name in self.intents or (self.base is not None and name in self.base)

    def shown(self, value: str) -> str:
        """Return a value that an answer gives in the words of this language."""
        return wording(self.language).shown(value)

    def figured(self, value: str) -> str:
        """Return a value with its Fahrenheit figures in the degrees of the kitchen."""
        return celsius(value) if self.unit == "C" else value

    def in_unit(self, unit: str) -> Catalogue:
        """Return these intents with the figures in their replies in the degrees of a kitchen, F or C."""
        if unit == self.unit or unit != "C":
            return self
        intents = {
            name: replace(intent, replies={key: celsius(text) for key, text in intent.replies.items()})
            for name, intent in self.intents.items()
        }
        return Catalogue(self.language, intents, self.base.in_unit(unit) if self.base else None, unit)


@cache
def load_catalogue(language: str = "en") -> Catalogue:
    """Return all intents of ``language``; raises ``CatalogueError`` for a table that cannot be used."""
    known = load_lexicon(language).concepts
    found: dict[str, Intent] = {}
    for topic in sorted(data_folder(language).iterdir(), key=lambda entry: entry.name):
        if not topic.is_dir() or topic.name in ("concepts", "__pycache__"):
            continue
        for name, table in tables(topic):
            if name in found:
                raise CatalogueError(f"two intent tables are called '{name}'; rename one")
            found[name] = _intent(name, topic.name, table, known)
    return Catalogue(language, found, None if language == BASE else load_catalogue(BASE))


def _intent(name: str, topic: str, table: Mapping[str, Any], known: frozenset[str]) -> Intent:
    keys = {"about", "patterns", "premises", "also", "examples", "replies", "follow_up", "asks"}
    unknown = set(table) - keys
    if unknown:
        raise CatalogueError(f"intent table '{name}' has unknown keys: {', '.join(sorted(unknown))}")
    also = frozenset(_family(" ".join(table.get("also", ())), known, " ").split())
    patterns = tuple(parse_pattern(_family(line, known)) for line in table.get("patterns", ()))
    premises = (parse_pattern(_family(line, known)) for line in table.get("premises", ()))
    patterns += tuple(replace(pattern, refuses=True) for pattern in premises)
    used = also.union(*(p.optional | p.avoid | {c for group in p.needed for c in group} for p in patterns))
    missing = {concept for concept in used if concept not in known and concept.strip("{}") not in SLOT_KINDS}
    if missing:
        raise CatalogueError(
            f"intent table '{name}' uses concepts that no table defines: {', '.join(sorted(missing))}"
        )
    examples = tuple(_example(item) for item in table.get("examples", ()))
    return Intent(
        name,
        topic,
        str(table.get("about", "")),
        patterns,
        also,
        examples,
        dict(table.get("replies", {})),
        bool(table.get("follow_up", False)),
        dict(table.get("asks", {})),
    )


def _family(line: str, known: frozenset[str], between: str = "|") -> str:
    """Write out ``event_*`` as all concepts of that family."""

    def members(match: re.Match[str]) -> str:
        return between.join(sorted(c for c in known if c.startswith(match[1]))) or match[0]

    return re.sub(r"(\w+_)\*", members, line)


def _example(item: str | Mapping[str, Any]) -> Example:
    if isinstance(item, str):
        return Example(item, {})
    return Example(item["say"], {key: str(value) for key, value in item.items() if key != "say"})


def parse_pattern(line: str) -> Pattern:
    """Read one pattern line; raises ``CatalogueError`` for a slot kind that does not exist."""
    needed: list[tuple[str, ...]] = []
    slots: dict[str, int] = {}
    optional: set[str] = set()
    avoid: set[str] = set()
    for item in line.split():
        if item.startswith("{") and "|" not in item:
            kind = item.strip("{}")
            if kind not in SLOT_KINDS:
                raise CatalogueError(f"pattern '{line}' names the unknown slot '{kind}'")
            slots[kind] = slots.get(kind, 0) + 1
        elif item.startswith("-"):
            avoid.update(item[1:].split("|"))
        elif item.startswith("?"):
            optional.update(item[1:].split("|"))
        else:
            needed.append(tuple(item.split("|")))
    return Pattern(tuple(needed), slots, frozenset(optional), frozenset(avoid), line)
