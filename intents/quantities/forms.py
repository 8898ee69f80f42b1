"""Forms of speech as data: "{minute} <past> {hour}", and where they match.

A form is words in a row. ``{name}`` is read by the reader of that name, ``{name:reader}`` where the two
differ; ``<group>`` is any phrase of a group of the table; ``?`` before one makes it optional.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

Words = tuple[str, ...]
Read = Callable[[str, int], Iterable[tuple[int, object]]]
"""A reader by name and a place -> every ``(end, value)`` that it finds there."""
Bound = Mapping[str, object]
_PIECE = re.compile(r"(\?)?(?:<(\w+)>|\{(\w+)(?::(\w+))?\}|([^\s<>{}?:]+))")


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of a form: phrases by their first word, or what a reader reads and as what it is bound."""

    phrases: Mapping[str, tuple[Words, ...]] = field(default_factory=dict)
    reader: str = ""
    name: str = ""
    optional: bool = False


@dataclass(frozen=True)
class Form:
    """Pieces in a row, what is fixed besides ("half past": minute 30), and what must stand around.

    ``marked``: names of marks of which one must stand before it. ``alone``: never before a number;
    ``edge``: besides, only after a mark or where the words end.
    """

    text: str
    pieces: tuple[Piece, ...]
    fixed: Bound = field(default_factory=dict)
    marked: frozenset[str] = frozenset()
    alone: bool = False
    edge: bool = False


def form(row: Mapping[str, object], groups: Mapping[str, tuple[Words, ...]], readers: frozenset[str]) -> Form:
    """Return the form of a row; raises ``ValueError`` for a group or reader that is not there."""
    text = str(row["say"])
    pieces = tuple(_piece(token, text, groups, readers) for token in text.split())
    fixed = {name: value for name, value in row.items() if name not in ("say", "marked", "alone", "edge")}
    marked = row.get("marked", [])
    if not isinstance(marked, list):
        raise ValueError(f'"{text}": marked must be a list of marks')
    names = frozenset(map(str, marked))
    return Form(text, pieces, fixed, names, bool(row.get("alone")), bool(row.get("edge")))


def _piece(token: str, text: str, groups: Mapping[str, tuple[Words, ...]], readers: frozenset[str]) -> Piece:
    match = _PIECE.fullmatch(token)
    if match is None:
        raise ValueError(f'"{text}": "{token}" is no piece of a form')
    optional, group, name, reader, word = match.groups()
    if group and group not in groups:
        raise ValueError(f'"{text}": there is no group "{group}"')
    if name and (reader or name) not in readers:
        raise ValueError(f'"{text}": there is no reader "{reader or name}"')
    phrases: dict[str, tuple[Words, ...]] = {}
    for phrase in groups[group] if group else ((word,),) if word else ():
        phrases[phrase[0]] = (*phrases.get(phrase[0], ()), phrase)
    return Piece(phrases, reader or name or "", name or "", optional is not None)


def matches(shape: Form, words: Words, at: int, read: Read) -> list[tuple[int, dict[str, object]]]:
    """Return every end and what is bound where ``shape`` matches the words from ``at`` on."""
    ways: list[tuple[int, tuple[tuple[str, object], ...]]] = [(at, ())]
    for piece in shape.pieces:
        further = ways.copy() if piece.optional else []
        name, reader, phrases = piece.name, piece.reader, piece.phrases
        for place, bound in ways:
            if place == len(words):
                continue
            if reader:
                further += [(end, (*bound, (name, value))) for end, value in read(reader, place)]
            else:
                known = phrases.get(words[place], ())
                further += [(place + len(p), bound) for p in known if words[place : place + len(p)] == p]
        if not further:
            return []
        ways = further
    return [(end, {**shape.fixed, **dict(bound)}) for end, bound in ways if end > at]


@dataclass(frozen=True)
class Forms:
    """Forms by how they begin: their first word, or the reader of it (empty where it may be left out)."""

    by_word: Mapping[str, tuple[Form, ...]]
    by_reader: tuple[tuple[str, tuple[Form, ...]], ...]

    @classmethod
    def of(cls, shapes: Iterable[Form]) -> Forms:
        """Return the forms, sorted."""
        by_word: dict[str, list[Form]] = {}
        by_reader: dict[str, list[Form]] = {}
        for shape in shapes:
            words = _first_words(shape.pieces)
            opening = shape.pieces[0]
            if words is None:
                by_reader.setdefault("" if opening.optional else opening.reader, []).append(shape)
            for word in words or ():
                by_word.setdefault(word, []).append(shape)
        return cls(
            {word: tuple(found) for word, found in by_word.items()},
            tuple((reader, tuple(found)) for reader, found in by_reader.items()),
        )


def _first_words(pieces: tuple[Piece, ...]) -> frozenset[str] | None:
    """The words with which a form can begin; ``None`` where a reader may read its first."""
    first: set[str] = set()
    for piece in pieces:
        if piece.reader:
            return None
        first |= piece.phrases.keys()
        if not piece.optional:
            break
    return frozenset(first)
