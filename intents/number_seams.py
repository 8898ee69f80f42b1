"""Where two numbers stand in a row before what is counted: "tossed the stew fifty one three quarts".

A recogniser writes no comma there. What is no one number is a number and a count of its own; a count and
a size of packs ("ten five pound bags") belong together; what may be one ("sixty two quarts") is one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from decimal import Decimal

from intents.language import NumberGrammar, language
from intents.lexicon import Lexicon, Span
from intents.words import breaks_in

Words = tuple[str, ...]
_MOST, _MOST_COUNTED, _LEAST_READ = 1000, 100, 20
"""No amount and no gauge is said to be as much in a row of small numbers; no count is; a smaller number in
several words is a place's and another (judgement)."""
_SPELLED = 3
"""So many digits, one by one, are a number that was read: "one five one"."""


def breaks_told(
    text: str, words: Words, concepts: Iterable[Span], units: Collection[str], lexicon: Lexicon
) -> frozenset[int]:
    """Return before which words a comma stands, or would stand if it were written.

    ``units`` are the concepts of what amounts are told in.
    """
    dozens, packs = lexicon.list("deed_dozens"), lexicon.list("deed_containers")
    spans = [*concepts]
    held = {span.start for span in spans if span.value == "container_word"}
    held |= {i for i, word in enumerate(words) if word in packs}
    counted = {span.start for span in spans if span.value in units} | held
    counted |= {i for i, word in enumerate(words) if word in dozens}
    seams = number_seams(words, counted, held, language(lexicon.language).numbers)
    return breaks_in(text, words, lexicon.heard) | {*seams}


def number_seams(
    words: Words, counted: Collection[int], held: Collection[int], grammar: NumberGrammar
) -> Iterator[int]:
    """Give where a count begins right behind another number.

    ``counted`` is where units and containers begin, ``held`` where containers do.
    """
    start = 0
    for end in sorted(counted):
        start = end
        while start and grammar.is_number_word(words[start - 1]):
            start -= 1
        run = words[start:end]
        if len(run) < len(("temperature", "count")) or _one_number(run, grammar):
            continue
        pack = end + 1 in held and end not in held  # "five pound bags"
        cuts = (at for at in range(len(run) - 1, 0, -1) if _read_and_counted(run, at, grammar, pack=pack))
        yield from (start + at for at in [*cuts][:1])


def _one_number(run: Words, grammar: NumberGrammar) -> bool:
    return any(abs(value) < _MOST for value in grammar.values(run))


def _read_and_counted(run: Words, at: int, grammar: NumberGrammar, *, pack: bool) -> bool:
    """True where one number that was read ends at ``at``, and a count begins, of a ``pack`` with a size."""
    digits = all(_of_one_digit(word, grammar) for word in run[:at])
    if (digits and at not in (1, _SPELLED)) or not any(_read(v, at) for v in grammar.values(run[:at])):
        return False
    rest = run[at:]
    if pack and _one_number(rest, grammar) and not all(_of_one_digit(word, grammar) for word in rest):
        return False  # "ten twenty five pound bags"
    sizes = (grammar.values(rest[:i]) and grammar.values(rest[i:]) for i in range(1, len(rest)))
    return any(sizes) if pack else any(0 < value < _MOST_COUNTED for value in grammar.values(rest))


def _read(value: Decimal, size: int) -> bool:
    return value < _MOST and (value >= _LEAST_READ or value <= 0 or size == 1)


def _of_one_digit(word: str, grammar: NumberGrammar) -> bool:
    return any(0 <= value < len("0123456789") for value in grammar.values((word,)))
