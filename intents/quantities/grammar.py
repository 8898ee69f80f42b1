"""A language's table of quantities, loaded and checked once: ``intents/<code>/quantities.toml``."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Any

from intents.language import NumberGrammar, language
from intents.quantities.forms import Form, Words, form

LAYERS = ("clock", "span", "date", "day", "moment")
"""What forms make, the later out of the earlier."""
PARTS = ("morning", "afternoon", "evening", "night")
READERS = frozenset(
    {
        *("hour", "hour24", "zeroed", "named", "written", "digits", "minute", "before", "fives", "padded"),
        *("half", "amount", "unit", "hour_unit", "extra", "short", "days", "ordinal", "date_number"),
        *("weekday", "month", "part", "anchor", *LAYERS),
    }
)


@dataclass(frozen=True)
class Phrases:
    """Phrases and what each stands for; those of a place are found by their first word."""

    by_first: Mapping[str, tuple[tuple[Words, object], ...]]
    by_last: Mapping[str, tuple[tuple[Words, object], ...]]

    @classmethod
    def of(cls, pairs: Iterable[tuple[str, object]]) -> Phrases:
        """Return the phrases of pairs of a phrase and its value."""
        first: dict[str, list[tuple[Words, object]]] = {}
        last: dict[str, list[tuple[Words, object]]] = {}
        for phrase, value in pairs:
            words = tuple(phrase.split())
            first.setdefault(words[0], []).append((words, value))
            last.setdefault(words[-1], []).append((words, value))
        return cls({w: tuple(f) for w, f in first.items()}, {w: tuple(f) for w, f in last.items()})

    def at(self, words: Words, at: int) -> Iterator[tuple[int, Any]]:
        """Return the ends and values of the phrases that begin at ``at``, the longest first."""
        here = self.by_first.get(words[at], ()) if at < len(words) else ()
        found = [(at + len(p), value) for p, value in here if words[at : at + len(p)] == p]
        yield from sorted(found, key=lambda each: -each[0])

    def until(self, words: Words, end: int) -> tuple[int, Any] | None:
        """Return the start and value of the longest phrase that ends before ``end``."""
        here = self.by_last.get(words[end - 1], ()) if end else ()
        found = [(end - len(p), v) for p, v in here if len(p) <= end and words[end - len(p) : end] == p]
        return min(found, key=lambda each: each[0], default=None)


@dataclass(frozen=True)
class Grammar:
    """Everything that a language says of quantities, ready to be read with."""

    numbers: NumberGrammar
    forms: Mapping[str, tuple[Form, ...]]
    units: Phrases  # -> (kind, unit)
    times: Phrases  # -> minutes of the unit
    amounts: Phrases  # -> Fraction
    extras: Phrases  # -> Fraction
    minutes: Phrases  # -> minutes
    named: Phrases  # -> hour
    halves: Phrases  # -> (first hour, last hour)
    parts: Phrases  # -> name of the part
    anchors: Phrases  # -> name of the event
    weekdays: Phrases
    months: Phrases
    ordinals: Phrases
    nouns: Phrases  # -> noun
    zeros: frozenset[str]
    endings: tuple[str, ...]  # glued to an hour: "ish"
    marks: Phrases  # -> (name, is a hedge); before a quantity
    marks_after: Phrases
    joins: frozenset[str]  # words that may stand between two quantities


@cache
def grammar(code: str) -> Grammar:
    """Return the grammar of a language.

    Raises ``ModuleNotFoundError`` for a language that does not exist, ``ValueError`` for a table with a
    fault, ``KeyError`` for one that lacks a part.
    """
    numbers = language(code).numbers
    table = tomllib.loads((files("intents") / code / "quantities.toml").read_text(encoding="utf-8"))
    groups = {name: tuple(tuple(p.split()) for p in phrases) for name, phrases in table["groups"].items()}
    forms = {n: tuple(form(row, groups, READERS) for row in table["forms"][n]) for n in LAYERS}
    marks = [(p, (n, False)) for n, phrases in table["marks"].items() for p in phrases]
    hedges = [(p, (n, True)) for n, phrases in table["hedges"].items() for p in phrases]
    skipped = [(p, None) for p in table["skipped"]["words"]]
    return Grammar(
        numbers=numbers,
        forms=forms,
        units=Phrases.of(
            (phrase, (kind, unit))
            for kind, units in table["units"].items()
            for unit, phrases in units.items()
            for phrase in phrases
        ),
        times=Phrases.of((p, Fraction(t["minutes"])) for t in table["times"].values() for p in t["words"]),
        amounts=_numbered(table["amounts"]),
        extras=_numbered(table["extras"]),
        minutes=Phrases.of((p, int(n)) for n, phrases in table["minutes"].items() for p in phrases),
        named=Phrases.of((p, t["hour"]) for t in table["named"].values() for p in t["words"]),
        halves=Phrases.of((p, tuple(t["hours"])) for t in table["halves"].values() for p in t["words"]),
        parts=Phrases.of((p, name) for name in PARTS for p in table["parts"][name]),
        anchors=Phrases.of((p, name) for name, phrases in table["anchors"].items() for p in phrases),
        weekdays=Phrases.of(
            (w, n) for n, ways in enumerate(table["weekdays"]["words"]) for w in ways.split("|")
        ),
        months=Phrases.of(
            (w, n) for n, ways in enumerate(table["months"]["words"], 1) for w in ways.split("|")
        ),
        ordinals=Phrases.of(
            (w, n) for n, ways in enumerate(table["ordinals"]["words"], 1) for w in ways.split("|")
        ),
        nouns=Phrases.of((p, name) for name, phrases in table["nouns"].items() for p in phrases),
        zeros=frozenset(table["zeros"]["words"]),
        endings=tuple(table["endings"]["words"]),
        marks=Phrases.of([*marks, *hedges, *skipped]),
        marks_after=Phrases.of((p, (n, True)) for n, ps in table["hedges_after"].items() for p in ps),
        joins=frozenset(w for p, _ in (*marks, *hedges, *skipped) for w in p.split()),
    )


def _in_order(rows: list[str], first: int) -> Phrases:
    return Phrases.of((word, place) for place, ways in enumerate(rows, first) for word in ways.split("|"))


def _numbered(rows: Mapping[str, list[str]]) -> Phrases:
    return Phrases.of((phrase, Fraction(number)) for number, phrases in rows.items() for phrase in phrases)
