"""The words of a language pack by concept, and the finder that marks them in an utterance.

A concept is a meaning ("thaw") with all the ways to say it, multi-word ones included. Tables live in
``intents/<language>/concepts/*.toml``; a word ending in ``~`` stands for its usual verb or plural forms.
A quality with values is one table: ``[concepts.unit]`` with ``gallon`` is the concept ``unit_gallon``.
"""

from __future__ import annotations

import csv
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from copy import copy
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import product
from pathlib import Path
from typing import Any

from intents.kept import kept
from intents.language import data_folder, language, packs
from intents.words import tokenise, without_accents, words_of

VOWELS = "aeiou"
BASE = "en"
"""The language that has every list and concept; another lacks only what its ``not_needed.csv`` tells."""


@dataclass(frozen=True, slots=True)
class Span:
    """Something found in an utterance: its kind and value, and the words from ``start`` to ``end``."""

    kind: str
    value: str
    start: int
    end: int

    def overlaps(self, other: Span) -> bool:
        """True when both cover at least one word in common."""
        return self.start < other.end and other.start < self.end


class Finder:
    """Finds known word sequences in an utterance. Built once from ``(phrase, value)`` pairs.

    ``known_as``: under which name the words of these phrases, which depend on tables only, are kept.
    """

    def __init__(self, kind: str, phrases: Iterable[tuple[str, str]], known_as: str = "") -> None:
        self.kind = kind
        self._by_first: dict[str, list[tuple[tuple[str, ...], str]]] = {}
        pairs = ((words_of(phrase), value) for phrase, value in phrases)
        for each, value in kept(known_as, lambda: list(pairs)) if known_as else pairs:
            if words := tuple(each):
                self._by_first.setdefault(words[0], []).append((words, value))
        for options in self._by_first.values():
            if len(options) > 1:
                options.sort(key=lambda option: -len(option[0]))

    @cached_property
    def words(self) -> frozenset[str]:
        """Every single word of the known sequences."""
        return frozenset(w for options in self._by_first.values() for known, _ in options for w in known)

    def pairs(self) -> Iterator[tuple[str, str]]:
        """Give every phrase with what it stands for."""
        for options in self._by_first.values():
            yield from ((" ".join(known), value) for known, value in options)

    def plus(self, word: str, value: str) -> Finder:
        """Return a finder that knows one more word."""
        more = copy(self)
        more._by_first = {**self._by_first, word: [((word,), value)]}
        return more

    def more(self, phrases: Iterable[tuple[str, str]]) -> Finder:
        """Return a finder that knows more phrases, as if it had been built with them."""
        added, more = Finder(self.kind, phrases), Finder(self.kind, ())
        more._by_first = dict(self._by_first)
        for word, options in added._by_first.items():
            both = [*self._by_first.get(word, ()), *options]
            more._by_first[word] = sorted(both, key=lambda option: -len(option[0]))
        return more

    def at(self, words: tuple[str, ...], start: int) -> list[Span]:
        """Return every known sequence that begins at ``start``, the longest first."""
        options = self._by_first.get(words[start])
        if options is None:
            return []  # so it is at most words
        return [
            Span(self.kind, value, start, start + len(known))
            for known, value in options
            if words[start : start + len(known)] == known
        ]

    def find_all(self, words: tuple[str, ...]) -> tuple[Span, ...]:
        """Return every known sequence anywhere, overlapping ones included."""
        known = self._by_first
        return tuple(span for i, word in enumerate(words) if word in known for span in self.at(words, i))

    def find_longest(self, words: tuple[str, ...]) -> tuple[Span, ...]:
        """Return the sequences from left to right, the longest at each place, none overlapping."""
        found: list[Span] = []
        start = 0
        if self._by_first.keys().isdisjoint(words):
            return ()
        while start < len(words):
            here = self.at(words, start)
            if here:
                found.append(here[0])
            start = here[0].end if here else start + 1
        return tuple(found)

    @cached_property
    def values(self) -> frozenset[str]:
        """Everything that the known sequences stand for."""
        return frozenset(value for options in self._by_first.values() for _, value in options)


@dataclass(frozen=True)
class Lexicon:
    """One language's concepts, filler words and sound-alikes."""

    language: str
    finder: Finder
    concepts: frozenset[str]
    filler: frozenset[str]
    links: frozenset[str]
    heard_as: Mapping[str, str]
    perhaps_heard_as: Mapping[str, str]
    lists: Mapping[str, frozenset[str]]  # words by what they are used for, such as "prepositions"

    @cached_property
    def emergencies(self) -> frozenset[str]:
        """The phrases of every emergency."""
        named = (phrases for name, phrases in self.lists.items() if name.startswith(EMERGENCY))
        return frozenset().union(*named)

    @cached_property
    def mishearings(self) -> tuple[tuple[str, str], ...]:
        """What is surely misheard with what was meant, the longest first."""
        return tuple(sorted(self.heard_as.items(), key=lambda item: -len(item[0])))

    @cached_property
    def misheard_first(self) -> frozenset[str]:
        """The words with which what is surely misheard begins."""
        return frozenset(heard.split()[0] for heard in self.heard_as)

    def heard(self, text: str) -> tuple[str, ...]:
        """Return the words of a text, mishearings replaced that are no sensible words here ("hand sync")."""
        words = tokenise(text)
        if self.misheard_first.isdisjoint(words):
            return words  # as most are
        text = f" {' '.join(words)} "
        for heard, meant in self.mishearings:
            text = text.replace(f" {heard} ", f" {meant} ")
        return tuple(text.split())

    def list(self, name: str) -> frozenset[str]:
        """Return the words of a list, without accents; raises ``KeyError`` for one that no language has."""
        return self.lists[name]

    def says(self, words: tuple[str, ...], name: str) -> bool:
        """True where a phrase of the list ``name`` stands in ``words``."""
        said = f" {' '.join(words)} "
        return any(f" {phrase} " in said for phrase in self.list(name))

    def small(self, *names: str) -> frozenset[str]:
        """Return words that say nothing by themselves, and those of the lists ``names``."""
        return self.filler.union(self.links, *map(self.list, names))

    def says_nothing(self, words: tuple[str, ...], span: Span) -> bool:
        """True for the "well" of "aye well, it's forty", not for "the well" or "well's at one forty"."""
        before, behind = {*words[max(0, span.start - 1) : span.start]}, {*words[span.end : span.end + 1]}
        named = before & self.list("deed_articles") or behind & (self.list("read_at") - self.list("still_it"))
        return not named and {*words[span.start : span.end]} <= self.list("hesitating")

    def compares_with(self, words: tuple[str, ...], at: int) -> bool:
        """True where what is named at ``at`` is what another is beside: "warmer than the walk-in"."""
        while at and words[at - 1] in self.list("deed_articles"):
            at -= 1
        before = {" ".join(words[max(0, at - 1 - n) : at - 1]) for n in (1, 2)}
        return bool({*words[at - 1 : at]} & self.list("compared_with") and before & self.list("differs"))

    def only_compared(self, words: tuple[str, ...], span: Span) -> bool:
        """True for the walk-in of "than the walk-in": not where "which is at forty" tells what it reads.

        Nor behind a number of another: "cooler forty six, warmer than the walk-in at thirty eight".
        """
        numbers = language(self.language).numbers
        told = " ".join(words[span.end : span.end + 2]) in self.list("which_reads")
        own = bool({*words[span.end : span.end + 1]} & self.list("which_reads_at"))
        own = own and any(map(numbers.is_number_word, words[span.end + 1 : span.end + 2]))
        both = own and any(map(numbers.is_number_word, words[: span.start]))
        return self.compares_with(words, span.start) and not (told or both)

    def of_another(self, words: tuple[str, ...], span: Span) -> bool:
        """True for the table of "steam table", a place of its own, where a span is only a part of a name."""
        with_before = " ".join(words[span.start - 1 : span.start + 1])
        return span.start > 0 and with_before in self.list("place_nouns")

    def opening(self, words: tuple[str, ...]) -> int:
        """Return how many words at the very beginning say nothing, or ask politely for an entry."""
        if polite := self.politely(words):
            return polite
        first = set(words[:1])
        if first & (self.links | self.list("openers")) and (polite := self.politely(words[1:])):
            return 1 + polite  # "hey, can you log"
        return int(bool(first & self.list("openers")))

    def politely(self, words: tuple[str, ...]) -> int:
        """Return how many words ask for an entry ("could you log"), 0 where none do."""
        polite = self.list("polite_openers")
        return next((n for n in range(6, 0, -1) if " ".join(words[:n]) in polite), 0)


EMERGENCY = "emergency_"
"""How the lists of emergency phrases are called."""
FIRST_LISTS = (EMERGENCY, "negation", "correction_openers")
FIRST_CONCEPTS = ("not",)
"""How the lists, and which concepts, even a partial pack must have: without them it hurts or mislogs."""

SENTENCES = "\n[said"
"""How the tables of sentences begin, last in an intent's file: they teach the net and are not loaded."""


def tables(folder: Path) -> list[tuple[str, dict[str, Any]]]:
    """Return ``(name, content)`` of every TOML file below ``folder``, in order of name, without sentences."""
    found: list[tuple[str, dict[str, Any]]] = []
    for item in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if item.is_dir():
            found.extend(tables(item))
        elif item.name.endswith(".toml"):
            text, _, _ = item.read_text(encoding="utf-8").partition(SENTENCES)
            found.append((item.name[:-5], tomllib.loads(text)))
    return found


@cache
def pack_tables(language: str) -> dict[str, list[tuple[str, dict[str, Any]]]]:
    """Return the ``tables`` of a language pack by topic, ``concepts`` among them, in order of name."""
    topics = (item for item in data_folder(language).iterdir() if item.is_dir())
    names = sorted(item.name for item in topics if item.name != "__pycache__")
    found: dict[str, list[tuple[str, dict[str, Any]]]] = kept(
        f"tables-{language}", lambda: {name: tables(data_folder(language) / name) for name in names}
    )
    return found


def forms(word: str) -> tuple[str, ...]:
    """Return a word and, if it ends in ``~``, its usual inflected forms ("store~" -> stored, storing...)."""
    if not word.endswith("~"):
        return (word,)
    base = word[:-1]
    stem = base[:-1] if base.endswith("e") else base
    doubled = (
        base + base[-1] if len(base) > 2 and base[-1] not in VOWELS + "wxy" and base[-2] in VOWELS else base
    )
    plural = base + "es" if base.endswith(("s", "sh", "ch", "x", "z")) else base + "s"
    if base.endswith("y") and base[-2] not in VOWELS:
        return (base, base[:-1] + "ies", base[:-1] + "ied", base + "ing")
    return tuple(dict.fromkeys((base, plural, stem + "ed", stem + "ing", doubled + "ed", doubled + "ing")))


def alternatives(phrase: str) -> Iterator[str]:
    """Give every wording of a phrase of a list: "se (le|me) cayó" is two, "(el |)aceite" has "el" or not."""
    parts = [part.split("|") for part in re.split(r"[()]", phrase)] if "(" in phrase else [[phrase]]
    yield from (" ".join("".join(words).split()) for words in product(*parts))


class LexiconError(ValueError):
    """A language pack that lacks words which the program reads; the message names them."""


@cache
def not_needed(language: str) -> dict[tuple[str, str], str]:
    """Return what a language does well without: the reason by kind and name ("list", "number_alike")."""
    table = data_folder(language) / "not_needed.csv"
    if not table.is_file():
        return {}
    rows = csv.DictReader(table.read_text(encoding="utf-8").splitlines())
    return {(row["kind"], row["name"]): row["reason"] for row in rows}


def words_lacking(language: str) -> list[tuple[str, str]]:
    """Return the lists and concepts that English has and a pack lacks and needs: kind and name, in order."""
    if language == BASE:
        return []
    base = load_lexicon(BASE)
    wanted = {("list", name) for name in base.lists} | {("concept", name) for name in base.concepts}
    kinds = (("list", "lists"), ("concept", "concepts"))
    there = {(kind, name) for kind, section in kinds for name in _each_once(language, section)}
    return sorted(wanted - there - set(not_needed(language)))


def _complete(language: str, lists: dict[str, set[str]]) -> dict[str, frozenset[str]]:
    """Return the lists of a language, empty where none is needed; raises where words are missing.

    A partial pack lacks what it lacks, except the words that keep somebody safe: a list of it is empty.
    """
    lacking = words_lacking(language)
    missing = [row for row in lacking if packs()[language].complete or _first(*row)]
    if missing:
        named = ", ".join(f"{kind} '{name}'" for kind, name in missing)
        raise LexiconError(
            f"the language '{language}' has no words for {named}; write them into"
            f" intents/{language}/concepts, or say in not_needed.csv why it needs none"
        )
    empty = (name for kind, name in (*not_needed(language), *lacking) if kind == "list")
    spare = dict.fromkeys(empty, frozenset[str]())
    return spare | {name: frozenset(map(without_accents, words)) for name, words in lists.items()}


def _first(kind: str, name: str) -> bool:
    """Whether even a partial pack must have a list or concept."""
    return name.startswith(FIRST_LISTS) if kind == "list" else name in FIRST_CONCEPTS


def _concepts(language: str) -> list[tuple[str, dict[str, Any]]]:
    return pack_tables(language).get("concepts", [])


def _each_once(language: str, section: str) -> dict[str, list[str]]:
    """Return the concepts or lists of a language, each with its words.

    Raises ``LexiconError`` for one that two files define: whoever reads one knows only half of its words.
    """
    found: dict[str, list[str]] = {}
    for name, words in (
        pair for _, table in _concepts(language) for pair in _named(_section(table, section))
    ):
        if name in found:
            files = [
                file for file, table in _concepts(language) if name in dict(_named(_section(table, section)))
            ]
            raise LexiconError(
                f"{section.removesuffix('s')} '{name}' of the language '{language}' is defined in"
                f" {' and in '.join(f'{file}.toml' for file in files)}; write all its words into one of them"
            )
        found[name] = words
    return found


@cache
def load_lexicon(language: str = BASE) -> Lexicon:
    """Return the lexicon of ``language``.

    Raises ``PackError`` for a pack that does not exist, ``LexiconError`` for one that lacks words or has
    the same ones in two files.
    """
    filler: set[str] = set()
    links: set[str] = set()
    heard_as: dict[str, str] = {}
    perhaps: dict[str, str] = {}
    for _, table in _concepts(language):
        filler.update(_words(table, "filler"))
        links.update(_words(table, "links"))
        heard_as.update(_section(table, "heard_as"))
        perhaps.update(_section(table, "perhaps_heard_as"))
    concepts, lists = _each_once(language, "concepts"), _each_once(language, "lists")
    wordings = {
        name: {each for phrase in words for each in alternatives(phrase)} for name, words in lists.items()
    }
    pairs = ((form, name) for name, words in concepts.items() for word in words for form in forms(word))
    return Lexicon(
        language,
        Finder("concept", pairs, f"concepts-{language}"),
        frozenset(concepts),
        frozenset(map(without_accents, filler)),
        frozenset(map(without_accents, links)),
        heard_as,
        perhaps,
        _complete(language, wordings),
    )


def _section(table: Mapping[str, Any], name: str) -> dict[str, Any]:
    section = table.get(name, {})
    if not isinstance(section, dict):
        raise TypeError(f"'{name}' must be a table")
    return section


def _named(section: Mapping[str, Any]) -> Iterator[tuple[str, list[str]]]:
    """Yield names with their words; a quality with values names each ``<quality>_<value>``."""
    for name, words in section.items():
        if isinstance(words, dict):
            yield from ((f"{name}_{value}", each) for value, each in words.items())
        else:
            yield name, words


def _words(table: Mapping[str, Any], name: str) -> list[str]:
    words = table.get(name, [])
    if not isinstance(words, list):
        raise TypeError(f"'{name}' must be a list")
    return words
