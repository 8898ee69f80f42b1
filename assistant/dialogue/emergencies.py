"""Emergencies by their exact words: a short path that no model can veto. Never silent."""

from __future__ import annotations

from intents.lexicon import Lexicon

_TABLE = "emergency_"
"""How the lists of emergency phrases are called: the rest is the intent that answers."""
_AND = " + "


def emergency_in(words: tuple[str, ...], lexicon: Lexicon) -> str:
    """Return the intent of the emergency that the words name, or an empty string.

    "cloro + garganta" is named where both are said, in whatever order and with anything between.
    """
    said = f" {' '.join(words)} "
    for name, phrases in lexicon.lists.items():
        if name.startswith(_TABLE) and any(
            all(f" {part} " in said for part in phrase.split(_AND)) for phrase in phrases
        ):
            return name.removeprefix(_TABLE)
    return ""


def emergency_intents(lexicon: Lexicon) -> frozenset[str]:
    """Return the intents that answer an emergency."""
    return frozenset(name.removeprefix(_TABLE) for name in lexicon.lists if name.startswith(_TABLE))


def after_fault(words: tuple[str, ...], lexicon: Lexicon) -> str:
    """Return the reply after a fault of the program's own: an emergency is answered all the same."""
    return "emergency" if emergency_in(words, lexicon) else "fault"
