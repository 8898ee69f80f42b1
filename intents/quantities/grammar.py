"""A language's table of quantities, loaded and checked once: ``intents/<code>/quantities.toml``."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any

from intents.kept import kept
from intents.language import NumberGrammar, data_folder, language
from intents.quantities.forms import Forms, Words, form

LAYERS = ("clock", "span", "date", "day", "moment")
"""What forms make, the later out of the earlier."""
PARTS = ("morning", "afternoon", "evening", "night")
READERS = frozenset(
    {
        *(
            "hour",
            "hour24",
            "zeroed",
            "named",
            "written",
            "digits",
            "minute",
            "before",
            "fives",
            "padded",
            "quarters",
        ),
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
        here = self.by_first.get(words[at]) if at < len(words) else None
        if here is None:
            return
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
    forms: Mapping[str, Forms]
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
    vocabulary: frozenset[str]  # every word with which a quantity can begin, but numerals
    joins: frozenset[str]  # words that may stand between two quantities
    articles: frozenset[str]  # these, too, where no quantity begins with them


@cache
def grammar(code: str) -> Grammar:
    """Return the grammar of a language.

    Raises ``ModuleNotFoundError`` for a language that does not exist, ``ValueError`` for a table with a
    fault, ``KeyError`` for one that lacks a part.
    """
    numbers = language(code).numbers
    table: dict[str, Any] = kept(f"quantities-{code}", lambda: _read(code))
    groups = {name: tuple(tuple(p.split()) for p in phrases) for name, phrases in table["groups"].items()}
    forms = {n: Forms.of(form(row, groups, READERS) for row in table["forms"][n]) for n in LAYERS}
    marks = [(p, (n, False)) for n, phrases in table["marks"].items() for p in phrases]
    hedges = [(p, (n, True)) for n, phrases in table["hedges"].items() for p in phrases]
    skipped = [(p, None) for p in table["skipped"]["words"]]
    tables = _tables(table)
    literal = {word for shapes in forms.values() for word in shapes.by_word}
    firsts = {word for phrases in tables.values() for word in phrases.by_first}
    return Grammar(
        **tables,
        numbers=numbers,
        forms=forms,
        vocabulary=frozenset(literal | firsts | numbers.number_words()),
        zeros=frozenset(table["zeros"]["words"]),
        endings=tuple(table["endings"]["words"]),
        marks=Phrases.of([*marks, *hedges, *skipped]),
        marks_after=Phrases.of((p, (n, True)) for n, ps in table["hedges_after"].items() for p in ps),
        joins=frozenset(w for p, _ in (*marks, *hedges) for w in p.split()) - set(table["skipped"]["words"]),
        articles=frozenset(table["skipped"]["words"]),
    )


def _read(code: str) -> dict[str, Any]:
    return tomllib.loads((data_folder(code) / "quantities.toml").read_text(encoding="utf-8"))


def _tables(table: Mapping[str, Any]) -> dict[str, Phrases]:
    units = table["units"].items()
    return {
        "units": Phrases.of((p, (kind, u)) for kind, named in units for u, ps in named.items() for p in ps),
        "times": _rows(table["times"], lambda row: Fraction(row["minutes"])),
        "named": _rows(table["named"], lambda row: row["hour"]),
        "halves": _rows(table["halves"], lambda row: tuple(row["hours"])),
        "amounts": _lists(table["amounts"], Fraction),
        "extras": _lists(table["extras"], Fraction),
        "minutes": _lists(table["minutes"], int),
        "parts": _lists({name: table["parts"][name] for name in PARTS}, str),
        "anchors": _lists(table["anchors"], str),
        "nouns": _lists(table["nouns"], str),
        "weekdays": _in_order(table["weekdays"]["words"], 0),
        "months": _in_order(table["months"]["words"], 1),
        "ordinals": _in_order(table["ordinals"]["words"], 1),
    }


def _in_order(rows: list[str], first: int) -> Phrases:
    return Phrases.of((word, place) for place, ways in enumerate(rows, first) for word in ways.split("|"))


def _lists(rows: Mapping[str, list[str]], value: Callable[[str], object]) -> Phrases:
    return Phrases.of((phrase, value(key)) for key, phrases in rows.items() for phrase in phrases)


def _rows(rows: Mapping[str, Any], value: Callable[[Any], object]) -> Phrases:
    return Phrases.of((phrase, value(row)) for row in rows.values() for phrase in row["words"])
