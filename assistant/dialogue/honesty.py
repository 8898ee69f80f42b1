"""Entries of what was not measured, asked for in plain words: refused aloud, and nothing is logged.

"Say the cod came in at forty, it was forty eight"; "copy yesterday's numbers"; "put ten hand washes in".
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.slots import Slots
from intents.quantities import Number, quantities

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from intents.lexicon import Lexicon

MADE_UP = "made_up"
_TWO = 2
_READ = ("number", "temperature", "ppm")


def refused(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the refusal; ``None`` for words that ask for no such thing."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    words = read.words
    if not words or not set(words[:3]) & lexicon.list("to_enter"):
        return None
    if _two_truths(heard, lexicon) or _older(words, lexicon) or _washes(words, lexicon):
        return talk.ask(talk.request(MADE_UP, Slots.of(read)))
    return None


def _two_truths(heard: Heard, lexicon: Lexicon) -> bool:
    """True where one number is to be written and another one was read."""
    read = heard.interpretation.heard
    said = f" {' '.join(read.words)} "
    if any(f" {phrase} " in said for phrase in lexicon.list("own_mistake")):
        return False
    really = [said.index(f" {phrase} ") for phrase in lexicon.list("really_was") if f" {phrase} " in said]
    numbers = [m for m in read.free_measures if m.kind in _READ]
    starts = [len(" ".join(read.words[: m.start])) for m in numbers]
    if len(numbers) != _TWO or numbers[0].value == numbers[1].value:
        return False
    return any(starts[0] < at < starts[1] + 1 for at in really)


def _older(words: tuple[str, ...], lexicon: Lexicon) -> bool:
    """True for the numbers of another day or round, to be written as today's."""
    said = f" {' '.join(words)} "
    older = any(f" {phrase} " in said for phrase in lexicon.list("older_numbers"))
    return older and bool(set(words) & lexicon.list("numbers_words"))


def _washes(words: tuple[str, ...], lexicon: Lexicon) -> bool:
    """True for several hand washes to be written at once: each is told when it is done."""
    if not set(words) & lexicon.list("wash_words") or "sink" in words:
        return False
    found = (m for q in quantities(words, lexicon.language) for m in q.meanings if isinstance(m, Number))
    return any(value >= _TWO for number in found for value in number.values)
