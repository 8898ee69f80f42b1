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
    said = f" {' '.join(words)} "
    for intent, phrases in _phrases(lexicon.language):
        if any(all(part in said for part in parts) for parts in phrases):
            return intent
    return ""


@cache
def _phrases(code: str) -> tuple[tuple[str, tuple[tuple[str, ...], ...]], ...]:
    """Return each emergency's phrases by the intent that answers: their parts, a space on both sides."""
    return tuple(
        (
            name.removeprefix(_TABLE),
            tuple(tuple(f" {part} " for part in phrase.split(_AND)) for phrase in phrases),
        )
        for name, phrases in load_lexicon(code).lists.items()
        if name.startswith(_TABLE)
    )


def emergency_intents(lexicon: Lexicon) -> frozenset[str]:
    """Return the intents that answer an emergency."""
    return frozenset(intent for intent, _ in _phrases(lexicon.language))


FAULT = "fault"
"""The reply after a fault of the program's own."""


def after_fault(words: tuple[str, ...], lexicon: Lexicon) -> str:
    """Return the reply after a fault of the program's own: an emergency is answered all the same."""
    return "emergency" if emergency_in(words, lexicon) else FAULT
