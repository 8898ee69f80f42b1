"""Emergencies by their exact words: a short path that no model can veto. Never silent."""

from __future__ import annotations

from functools import cache

from intents.lexicon import EMERGENCY, Finder, Lexicon, load_lexicon

_AND = " + "
_GAP = "-"
"""Stands where a figure of speech was: what is around it does not come together by that."""


def emergency_in(words: tuple[str, ...], lexicon: Lexicon) -> str:
    """Return the intent of the emergency that the words name, or an empty string.

    "cloro + garganta" is named where both are said, in whatever order and with anything between.
    """
    spoken = set(words)
    if spoken.isdisjoint(_first_words(lexicon.language)):
        return ""
    said = _apart(_literally(words, lexicon))
    for intent, phrases in _phrases(lexicon.language):
        for first in spoken & phrases.keys():
            if any(all(part in said for part in parts) for parts in phrases[first]):
                return intent
    return ""


def figurative(words: tuple[str, ...], lexicon: Lexicon) -> bool:
    """True where an emergency is denied or a figure of speech, and nothing beside it is one."""
    return _literally(words, lexicon) != words and not emergency_in(words, lexicon)


def seems_urgent(words: tuple[str, ...], intent: str, lexicon: Lexicon) -> bool:
    """True where the words name an emergency, or seem to mean one and are no figure of speech."""
    meant = intent in emergency_intents(lexicon) and not figurative(words, lexicon)
    return meant or bool(emergency_in(words, lexicon))


def _apart(words: tuple[str, ...]) -> str:
    return f" {' '.join(words)} "


def _literally(words: tuple[str, ...], lexicon: Lexicon) -> tuple[str, ...]:
    """Return what is said without figures of speech and what is denied: nobody chokes "on tickets".

    Somebody who hopes that it is none, or did not know better, denies nothing.
    """
    figures, named = _finders(lexicon.language)
    spans = [(span.start, span.end) for span in figures.find_longest(words)]
    for start in range(len(words)):
        for end in _denials(words, start, lexicon):
            spans += [(start, span.end) for span in named.at(words, end)]
    if not spans or lexicon.says(words, "denied_in_vain"):
        return words
    left_out = {i for span in spans for i in range(*span)}
    return tuple(_GAP if i in left_out else word for i, word in enumerate(words))


def _denials(words: tuple[str, ...], start: int, lexicon: Lexicon) -> list[int]:
    """Return where what is denied may begin, behind a denial at ``start``: "is not (really) choking"."""
    ends = [start + n for n in (1, 2) if " ".join(words[start : start + n]) in lexicon.list("denies_danger")]
    more = [end + 1 for end in ends if {*words[end : end + 1]} & lexicon.list("denied_between")]
    return [end for end in (*ends, *more) if end < len(words)]


@cache
def _finders(code: str) -> tuple[Finder, Finder]:
    """Return what finds figures of speech, and what finds the beginnings of emergency phrases."""
    begin = {parts[0] for _, phrases in _phrases(code) for each in phrases.values() for parts in each}
    figures = load_lexicon(code).list("figures_of_speech")
    return Finder("figure", ((each, "") for each in figures)), Finder("named", ((each, "") for each in begin))


@cache
def _phrases(code: str) -> tuple[tuple[str, dict[str, list[tuple[str, ...]]]], ...]:
    """Return each emergency's phrases by the intent that answers and by their first word.

    A phrase is its parts, each with a space on both sides.
    """
    found = []
    for name, phrases in load_lexicon(code).lists.items():
        if name.startswith(EMERGENCY):
            by_first: dict[str, list[tuple[str, ...]]] = {}
            for phrase in phrases:
                parts = tuple(f" {part} " for part in phrase.split(_AND))
                by_first.setdefault(parts[0].split()[0], []).append(parts)
            found.append((name.removeprefix(EMERGENCY), by_first))
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
