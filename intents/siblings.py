"""The number of a place said alone after another of its kind: "drawer one thirty nine, two is forty"."""

from __future__ import annotations

from intents.language import NumberGrammar, language
from intents.lexicon import Lexicon

_MOST = 9


def sibling_number(words: tuple[str, ...], at: int, numbers: NumberGrammar, lexicon: Lexicon) -> int | None:
    """Return the number of a place said alone in the word at ``at``, or ``None``.

    A word such as "is" follows it, or a number of its own.
    """
    if at + 1 >= len(words):
        return None
    told = words[at + 1] in lexicon.list("read_at") and at + 2 < len(words)
    if not told and not numbers.numbers_from(words, at + 1):
        return None
    alone = [options for end, options in numbers.numbers_from(words, at) if end == at + 1]
    values = alone[0] if alone else frozenset()
    return next((int(value) for value in values if value in range(1, _MOST + 1)), None)


def of_a_list(words: tuple[str, ...], after: int, at: int, lexicon: Lexicon) -> bool:
    """True for the two of "freezer one and two", a place as well: ``after`` is where the first one ends."""
    between, numbers = set(words[after:at]), language(lexicon.language).numbers
    return (
        bool(between) and between <= lexicon.list("list_joins") and numbers.is_number_word(words[after - 1])
    )
