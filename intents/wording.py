"""What answers put into replies, said in the language of the reply: "41°F or colder" -> "41°F o menos".

Answers give their values in the words of the rules. A pack of another language has ``shown.toml`` (whole
values, then patterns in order), ``foods.csv`` and ``equipment.csv``; English needs none of them.
"""

from __future__ import annotations

import csv
import re
import tomllib
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache, cached_property, lru_cache

from intents.language import data_folder
from intents.lexicon import Finder
from intents.words import tokenise

_REMEMBERED = 1024
"""Values whose words are kept: an answer's are looked up several times."""


@dataclass(frozen=True)
class Wording:
    """Whole values by their lower-case English, and patterns with what replaces them."""

    whole: dict[str, str] = field(default_factory=dict)
    parts: tuple[tuple[re.Pattern[str], str], ...] = ()
    names: re.Pattern[str] | None = None  # of foods and equipment, inside longer values
    proper: frozenset[str] = frozenset()  # first words with a capital letter in English only

    @cached_property
    def shown(self) -> Callable[[str], str]:
        """Return a value in this language; a capital first letter stays one."""
        return lru_cache(maxsize=_REMEMBERED)(self._shown)

    def _shown(self, value: str) -> str:
        bare, number = _without_number(value)
        found = self.whole.get(value.lower())
        if found is None and number and bare.lower() in self.whole:
            found = f"{self.whole[bare.lower()]} {number}"
        if found is None:
            found = self.names.sub(lambda match: self._name(match[0]), value) if self.names else value
            for pattern, replacement in self.parts:
                found = pattern.sub(replacement, found)
        capital = value[:1].isupper() and value.split()[0] not in self.proper
        return found[:1].upper() + found[1:] if capital else found

    def place(self, name: str) -> str:
        """Return a place's name: this language's where it has one for all of it, else the site's own."""
        bare, number = _without_number(name)
        for known, rest in ((name, ""), (bare, f" {number}")):
            if known.lower() in self.whole:
                return f"{self.whole[known.lower()]}{rest}"
        return name

    def _name(self, english: str) -> str:
        found = self.whole[english.lower()]
        return found[:1].upper() + found[1:] if english[:1].isupper() else found


def _without_number(value: str) -> tuple[str, str]:
    match = re.fullmatch(r"(.*\D) (\d+)", value)
    return (match[1], match[2]) if match else (value, "")


@cache
def wording(language: str) -> Wording:
    """Return the wording of a language pack; an empty one for a pack without ``shown.toml``."""
    table = data_folder(language) / "shown.toml"
    if not table.is_file():
        return Wording()
    data = tomllib.loads(table.read_text(encoding="utf-8"))
    whole: dict[str, str] = {}
    foods = pairs(language, "foods")
    for spoken, english in (*foods, *pairs(language, "equipment")):
        whole.setdefault(english.lower(), spoken)
    for spoken, english in foods:
        for word, quality in pairs(language, "food_words"):
            if _agree(spoken, word, frozenset(data.get("feminine", ()))):
                whole.setdefault(f"{quality} {english}".lower(), f"{spoken} {word}")
    for english, text in data["names"].items():
        whole.setdefault(english.lower(), text)
    named = "|".join(re.escape(name) for name in sorted(whole, key=len, reverse=True))
    whole |= {english.lower(): text for english, text in data["whole"].items()}
    parts = tuple((re.compile(_whole_words(pattern)), text) for pattern, text in data["parts"].items())
    names = re.compile(rf"\b(?:{named})\b", re.IGNORECASE)
    return Wording(whole, parts, names, frozenset(data["proper"]))


def _whole_words(pattern: str) -> str:
    """Return a pattern that begins or ends with a letter so that it finds no part of a word (cupboard)."""
    begins = r"\b" if pattern[0].isalpha() else ""
    ends = r"\b" if pattern[-1].isalpha() and pattern[-2] != "\\" else ""
    return f"{begins}{pattern}{ends}"


def _agree(food: str, quality: str, feminine: frozenset[str]) -> bool:
    """True when a word about a food has the gender and number of the food's first word ("carne cruda")."""
    noun = food.split()[0]
    plural = noun.endswith("s") and len(noun) > len("res")
    ending = ("a" if noun in feminine or noun.rstrip("s").endswith("a") else "o") + "s" * plural
    return quality.endswith(ending)


def meant(language: str, name: str, said: str) -> str:
    """Return the English of the longest name of a pack's table in ``said``, or ``said`` itself."""
    words = tokenise(said)
    found = Finder(name, pairs(language, name)).find_all(words)
    longest = max(found, key=lambda span: span.end - span.start, default=None)
    return longest.value if longest else said


@cache
def pairs(language: str, name: str) -> tuple[tuple[str, str], ...]:
    """Return ``(spoken, English)`` of a pack's table of names; none where it has no such table."""
    table = data_folder(language) / f"{name}.csv"
    if not table.is_file():
        return ()
    rows = csv.reader(table.read_text(encoding="utf-8").splitlines()[1:])
    return tuple((spoken, english) for spoken, english in rows)
