"""Words that tell one batch of a food from another: "the big pot of", "second batch", "batch two".

Only found here; which batch they mean is told by those that are cooling (``dialogue/batches.py``).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from intents.language import language
from intents.lexicon import Lexicon
from intents.mentions import Understanding
from intents.short_names import ORDER

SIZES = ("big", "small")
_MOST = 9
_NAME = 4
"""Words of a name that a batch is given."""


@dataclass(frozen=True, slots=True)
class BatchWords:
    """What was said of a batch in the words from ``start`` to ``end``.

    ``ordinal`` counts from 1; ``size`` is big or small; ``new`` tells that it
    is one more. ``said`` are the words that name it: "big pot"; ``label`` is what it was called: "a".
    """

    start: int
    end: int
    said: str
    ordinal: int = 0
    size: str = ""
    container: str = ""
    new: bool = False
    label: str = ""

    @property
    def telling(self) -> bool:
        """True when more was said than what the food is in."""
        return bool(self.ordinal or self.size or self.new or self.label)


def batch_words(heard: Understanding, lexicon: Lexicon) -> tuple[tuple[BatchWords, ...], ...]:
    """Return, for each place where a batch is told, every way to hear it, those of most words first.

    "Batch one sixty eight" may be batch one or a batch at 168. No part of a place's name tells a batch.
    """
    named = {i for s in heard.names.get("equipment", ()) for i in range(s.start, s.end)}
    found, at = [], 0
    while at < len(heard.words):
        here = () if at in named else tuple(_here(heard, at, lexicon))
        here = here or (() if at in named else tuple(_labelled(heard, at, lexicon)))
        here = tuple(each for each in here if not named & set(range(each.start, each.end)))
        if here:
            found.append(tuple(sorted(here, key=lambda each: -each.end)))
        at = max((each.end for each in here), default=at + 1)
    return tuple(found)


def _here(heard: Understanding, at: int, lexicon: Lexicon) -> Iterator[BatchWords]:
    words, containers = heard.words, lexicon.list("batch_containers")
    foods = {s.start: s.end for s in heard.names.get("food", ())}
    word, grammar = words[at], language(lexicon.language).numbers
    before = [n for i in (at - 2, at - 1) if i >= 0 for n in grammar.values(words[i : i + 1])]
    if any(n > 1 for n in before) and _holds(words, at, containers):
        return  # "in six shallow pans" tells no batch
    ordinal, size, new = _ordinal(word, lexicon), _size(word, lexicon), word in lexicon.list("batch_new")
    if not (ordinal or size or new):
        if word not in containers:
            return
        stop = at + 1 + (words[at + 1 : at + 2] != () and words[at + 1] in lexicon.list("number_word"))
        counted = language(lexicon.language).numbers.values(words[stop : stop + 1])
        number = min(counted, default=None)
        if number is not None and number in range(1, _MOST + 1):
            yield BatchWords(at, stop + 1, f"{word} {int(number)}", int(number), container=word)
        end = at + 1 + (words[at + 1 : at + 2] != () and words[at + 1] in lexicon.list("deed_of"))
        yield BatchWords(at, end, word, container=word)
        return
    end = at + 1
    container = _container(words, end, containers) or _container(words, foods.get(end, end), containers)
    if _container(words, end, containers):
        end += 1
    elif words[end : end + 1] and words[end] in lexicon.list("batch_one"):
        yield BatchWords(at, end + 1, word, ordinal, size, new=new)
        if not language(lexicon.language).numbers.numbers_from(words, end + 1):
            return  # "the big one is at ninety", not "one ninety"
    if words[end : end + 1] and words[end] in lexicon.list("deed_of"):
        end += 1
    yield BatchWords(at, end, f"{word} {container}".strip(), ordinal, size, container, new)


def _labelled(heard: Understanding, at: int, lexicon: Lexicon) -> Iterator[BatchWords]:
    """Give what a batch is called: "call it chowder a", "chowder a is ninety"."""
    words, grammar = heard.words, language(lexicon.language).numbers
    foods = heard.names.get("food", ())
    if words[at] in lexicon.list("batch_call"):
        end = at + 1
        while end < len(words) and words[end] in lexicon.list("batch_called"):
            end += 1
        stop = min(end + _NAME, len(words))
        ends = lexicon.list("batch_behind")  # "call it red sauce, it's at one sixty"
        stop = next((i for i in range(end, stop) if words[i] in ends), stop)
        of_food = {i for s in foods for i in range(s.start, s.end)}
        label = " ".join(words[i] for i in range(end, stop) if i not in of_food)
        if end > at + 1 and label:
            yield BatchWords(at, stop, " ".join(words[end:stop]), label=label)
        return
    if not any(s.end == at for s in foods):
        return
    behind = words[at + 1 : at + 2]
    told = not behind or behind[0] in lexicon.list("batch_behind") or grammar.is_number_word(behind[0])
    if words[at] in lexicon.list("batch_letters") and told and not grammar.values((words[at], *behind)):
        yield BatchWords(at, at + 1, words[at], label=words[at])


def _holds(words: tuple[str, ...], at: int, containers: frozenset[str]) -> bool:
    return bool(containers & {*words[at : at + 2]})


def _container(words: tuple[str, ...], at: int, containers: frozenset[str]) -> str:
    return words[at] if at < len(words) and words[at] in containers else ""


def _size(word: str, lexicon: Lexicon) -> str:
    return next((size for size in SIZES if word in lexicon.list(f"batch_{size}")), "")


def _ordinal(word: str, lexicon: Lexicon) -> int:
    return next((n for n, name in enumerate(ORDER, 1) if word in lexicon.list(name)), 0)


def size_of(name: str, lexicon: Lexicon) -> str:
    """Return the size that a batch's name tells, or an empty string."""
    return next((size for word in name.split() if (size := _size(word, lexicon))), "")


def ordinal_of(name: str, lexicon: Lexicon) -> int:
    """Return which one in a row a batch's name tells it to be, or 0."""
    words = name.split()
    told = next((n for word in words if (n := _ordinal(word, lexicon)) > 0), 0)
    numbered = next((int(word) for word in words if word.isdecimal() and len(word) == 1), 0)
    return told or numbered
