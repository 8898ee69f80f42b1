"""Emergencies by their exact words: a short path that no model can veto. Never silent."""

from __future__ import annotations

from functools import cache

from intents.lexicon import Lexicon, load_lexicon

_TABLE = "emergency_"
"""How the lists of emergency phrases are called: the rest is the intent that answers."""
_AND = " + "


def emergency_in(words: tuple[str, ...], lexicon: Lexicon) -> str:
    """Return the intent of the emergency that the words name, or an empty string.

    "cloro + garganta" is named where both are said, in whatever order and with anything between.
    """
    spoken = set(words)
    if spoken.isdisjoint(_first_words(lexicon.language)):
        return ""
    said = _literally(words, lexicon)
    for intent, phrases in _phrases(lexicon.language):
        for first in spoken & phrases.keys():
            if any(all(part in said for part in parts) for parts in phrases[first]):
                return intent
    return ""


def figurative(words: tuple[str, ...], lexicon: Lexicon) -> bool:
    """True where the words of an emergency are a figure of speech, and nothing beside it is one."""
    return _literally(words, lexicon) != _apart(words) and not emergency_in(words, lexicon)


def _apart(words: tuple[str, ...]) -> str:
    return f" {' '.join(words)} "


def _literally(words: tuple[str, ...], lexicon: Lexicon) -> str:
    """Return what is said without its figures of speech: nobody chokes "on tickets"."""
    said = _apart(words)
    for figure in sorted(lexicon.list("figures_of_speech"), key=len, reverse=True):
        said = said.replace(f" {figure} ", " ")
    return said


@cache
def _phrases(code: str) -> tuple[tuple[str, dict[str, list[tuple[str, ...]]]], ...]:
    """Return each emergency's phrases by the intent that answers and by their first word.

    A phrase is its parts, each with a space on both sides.
    """
    found = []
    for name, phrases in load_lexicon(code).lists.items():
        if name.startswith(_TABLE):
            by_first: dict[str, list[tuple[str, ...]]] = {}
            for phrase in phrases:
                parts = tuple(f" {part} " for part in phrase.split(_AND))
                by_first.setdefault(parts[0].split()[0], []).append(parts)
            found.append((name.removeprefix(_TABLE), by_first))
    return tuple(found)


@cache
def _first_words(code: str) -> frozenset[str]:
    """Return the words with which a phrase can begin."""
    return frozenset(word for _, phrases in _phrases(code) for word in phrases)


def emergency_intents(lexicon: Lexicon) -> frozenset[str]:
    """Return the intents that answer an emergency."""
    return frozenset(intent for intent, _ in _phrases(lexicon.language))


FAULT = "fault"
"""The reply after a fault of the program's own."""


def after_fault(words: tuple[str, ...], lexicon: Lexicon) -> str:
    """Return the reply after a fault of the program's own: an emergency is answered all the same."""
    return "emergency" if emergency_in(words, lexicon) else FAULT
