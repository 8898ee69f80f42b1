"""The intents of a language pack, read from their tables: about what, examples, sentences and replies.

``examples`` are a few plain ones: each is a test, the printed card shows them, the recogniser learns their
words. ``[said]`` and ``[said_unsafe]`` hold by act what people say, words marked with their roles: the net is
taught by them (``models/training/understanding``); of the second a plain yes would be unsafe. ``permits``
names the replies that allow something: they need more certainty than others.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any, Literal

from intents.degrees import celsius
from intents.kept import kept
from intents.language import packs
from intents.lexicon import pack_tables
from intents.wording import wording
from intents.words import tokenise

BASE = "en"
"""The language that has every intent."""

Stance = Literal["permits", "refuses", "neutral"]
"""What a reply does to what was asked: it allows it, refuses it, or tells something else."""
REFUSING = ("No.", "No:", "No,", "Never", "Don't", "Throw", "Stop", "Reject")
"""How replies begin that refuse; what is no refusal and no permission is neutral."""
OF_THE_INTENT = ("alone", "elsewise", "follow_up", "needs", "of", "permits")
"""Keys that say what an intent is, whatever the language: only the base language has them."""


class CatalogueError(ValueError):
    """An intent table that cannot be used; the message names the file and the line to mend."""


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
    examples: tuple[Example, ...]
    replies: Mapping[str, str]
    follow_up: bool
    asks: Mapping[str, str]
    permits: frozenset[str] = frozenset()  # replies that allow something: they need more certainty
    needs: tuple[str, ...] = ()  # kinds of slots that the answer cannot do without: what lacks is asked for
    briefly: str = ""  # what it is about in a few words, for a question between two
    alone: bool = False  # meant only where no food, place or round is named besides
    of: tuple[str, ...] = ()  # the kinds of equipment that it is about: which of them, its request says
    elsewise: str = ""  # the intent that is meant in a kitchen that has only equipment of that one's kinds

    def stance(self, reply: str) -> Stance:
        """Return whether a reply permits, refuses or does neither."""
        if reply in self.permits:
            return "permits"
        return "refuses" if self.replies.get(reply, "").startswith(REFUSING) else "neutral"


@dataclass(frozen=True)
class Catalogue:
    """All intents of one language by name; one that it lacks is taken from ``base``, if there is one."""

    language: str
    intents: Mapping[str, Intent]
    base: Catalogue | None = None
    unit: str = "F"
    called: Mapping[str, str] = field(default_factory=dict)  # foods as they were called lately, by food
    kept_names: re.Pattern[str] | None = None  # names of places that stay as they are within longer values

    def __getitem__(self, name: str) -> Intent:
        if name not in self.intents and self.base is not None:
            return self.base[name]
        return self.intents[name]

    def __contains__(self, name: str) -> bool:
        return name in self.intents or (self.base is not None and name in self.base)

    def shown(self, value: str) -> str:
        """Return a value that an answer gives in the words of this language."""
        name = self.called.get(value.lower())
        if name is None and self.kept_names is not None:
            pieces = self.kept_names.split(value)  # every other one is a name
            say = wording(self.language).shown
            return "".join(each if n % 2 else say(each) if each else "" for n, each in enumerate(pieces))
        if name is None:
            return wording(self.language).shown(value)
        return name[:1].upper() + name[1:] if value[:1].isupper() else name

    def calling(self, called: Mapping[str, str], kept_names: re.Pattern[str] | None = None) -> Catalogue:
        """Return these intents with foods called as they were said, and names that stay as they are."""
        return replace(self, called=called, kept_names=kept_names) if called else self

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
    found: dict[str, Intent] = {}
    for topic, topic_tables in pack_tables(language).items():
        if topic == "concepts":
            continue
        for name, table in topic_tables:
            if language != BASE and not table.get("replies"):
                continue  # only sentences: what is said back is the base language's
            if name in found:
                raise CatalogueError(f"two intent tables are called '{name}'; rename one")
            found[name] = _intent(name, topic, table, language)
    if not packs()[language].complete:
        found = {name: _with_base_replies(intent) for name, intent in found.items()}
    return Catalogue(language, found, None if language == BASE else load_catalogue(BASE))


def _with_base_replies(intent: Intent) -> Intent:
    """Return an intent of a partial pack: a reply that it lacks is the base language's, as an intent is."""
    return replace(intent, replies={**load_catalogue(BASE)[intent.name].replies, **intent.replies})


@cache
def examples_of(language: str) -> dict[str, str]:
    """Return the intent of each example, the example as its words with one space between."""
    found: dict[str, str] = kept(f"examples-{language}", lambda: _examples_of(load_catalogue(language)))
    return found


def _examples_of(catalogue: Catalogue) -> dict[str, str]:
    every = catalogue.intents.values()
    return {" ".join(tokenise(example.say)): intent.name for intent in every for example in intent.examples}


def _intent(name: str, topic: str, table: Mapping[str, Any], language: str) -> Intent:
    keys = {"about", "briefly", "examples", "replies", "asks"}
    if language == BASE:
        keys.update(OF_THE_INTENT)
    unknown = set(table) - keys
    if unknown:
        raise CatalogueError(
            f"intent table '{name}' ({language}) has unknown keys: {', '.join(sorted(unknown))}"
        )
    if language != BASE:
        base = load_catalogue(BASE).intents.get(name)
        if base is None:
            raise CatalogueError(
                f"intent '{name}' ({language}) is not in '{BASE}'; add it there or rename it"
            )
        table = {**table, **{key: getattr(base, key) for key in OF_THE_INTENT}}
    examples = tuple(_example(item) for item in table.get("examples", ()))
    return Intent(
        name,
        topic,
        str(table.get("about", "")),
        examples,
        dict(table.get("replies", {})),
        bool(table.get("follow_up", False)),
        dict(table.get("asks", {})),
        frozenset(table.get("permits", ())),
        tuple(table.get("needs", ())),
        str(table.get("briefly", "")),
        bool(table.get("alone", False)),
        tuple(table.get("of", ())),
        str(table.get("elsewise", "")),
    )


def _example(item: str | Mapping[str, Any]) -> Example:
    if isinstance(item, str):
        return Example(item, {})
    return Example(item["say"], {key: str(value) for key, value in item.items() if key != "say"})
