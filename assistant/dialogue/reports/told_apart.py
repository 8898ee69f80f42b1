"""A breath whose end is no reading: a question, which is answered and never logged, or "other way round".

"Larder thirty eight, is forty five ok for the rail", "soup one fifty, gravy one forty, no, other way round".
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import agreed, corrected, recording, which_place
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.state import Pending
from intents.mentions import READ

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

Take = Callable[[Heard], Outcome]
_TWO = 2
_ASKS = 0.5


def report(talk: Conversation, heard: Heard, take: Take) -> Outcome | None:
    """Return what is done with the end, and with what ``take`` makes of the readings before it."""
    words = heard.interpretation.heard.words
    numbers = [m for m in heard.interpretation.heard.free_measures if m.kind in READ]
    if not talk.addressed or not numbers or len(words) < _TWO:
        return None
    return _turned(talk, heard, numbers[-1].end, take) or _asked(talk, heard, take)


def _turned(talk: Conversation, heard: Heard, last: int, take: Take) -> Outcome | None:
    """Read back two numbers each as of the place of the other; of more it is asked which."""
    words, lexicon = heard.interpretation.heard.words, talk.interpreter.lexicon
    tail = talk.part(heard, range(last, len(words))).interpretation.heard
    if last == len(words) or not corrected.swaps(talk, tail):
        return None
    told = take(talk.part(heard, range(last)))
    readings = told.readings or (told.pending.readings if told.pending is not None else ())
    buckets = any(r.quantity == "ppm" for r in readings) and {*tail.words} & lexicon.list("swapping")
    if not readings or (buckets and not {*tail.words} & lexicon.list("correction_openers")):
        return None  # "bucket one two hundred, swapped it": what is in it was
    used = frozenset(range(last, len(words)))
    if (swapped := corrected.swapped(talk, tail, readings)) is not None:
        return replace(recording.confirm(talk, swapped), used=used)
    waiting = Pending("confirm", talk.clock.now(), readings=readings, disputed=True)
    return replace(which_place.which_ones(), pending=waiting, readings=readings, used=used)


def _asked(talk: Conversation, heard: Heard, take: Take) -> Outcome | None:
    """Answer the question in a breath, and take the readings beside it; in doubt all is read back."""
    every = range(len(heard.interpretation.heard.words))
    for question in _questions(talk, heard):
        part = talk.part(heard, question)
        asked, said = take(part), part.interpretation
        states = talk.interpreter.lexicon.list("read_at") | talk.interpreter.lexicon.list("present_is")
        surely = said.meaning.share_of("ask") > _ASKS or (
            said.heard.asks and said.heard.words[0] not in states
        )
        silent = asked.nothing or (asked.answer is None and asked.text is None)
        if not (surely or (asked.readings and not silent)):
            continue
        told = take(talk.part(heard, [i for i in every if i not in question]))
        if not told.readings:
            continue
        used = frozenset(question)
        if silent:
            return replace(told, used=told.used | used)  # of what nobody can answer no number is taken
        if asked.drafts or not surely:
            return replace(recording.confirm(talk, (*told.readings, *asked.readings)), used=used)
        first, then = (asked, told) if told.pending is not None else (told, asked)
        both = agreed.both(talk, first, then)
        kept = {} if told.pending is not None else then.changes
        return replace(both, changes={**told.changes, **kept}, used=used)
    return None


def _questions(talk: Conversation, heard: Heard) -> Iterator[range]:
    """Give where a question with a number of its own may stand, behind a number that was told.

    It opens a clause; where no comma is heard, it asks for a verdict ("..., is forty five ok").
    """
    said, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    numbers = [m for m in said.free_measures if m.kind in READ]
    asking = lexicon.list("asking") - lexicon.list("told_before")
    for at, word in enumerate(said.words):
        before, behind = [m for m in numbers if m.end <= at], [m for m in numbers if m.start > at]
        opens = at in said.breaks
        if not (opens or word in asking) or not before or not behind:
            continue
        named = any(s.start > at for kind in ("equipment", "food") for s in said.names.get(kind, ()))
        approved = {*said.words[behind[-1].end :]} & lexicon.list("approving")
        ends = before[-1].end == at and named and approved
        last = min(
            (i for i in said.breaks if behind[0].end <= i <= behind[-1].start), default=len(said.words)
        )
        question = range(at, last)
        part = talk.part(heard, question).interpretation
        worded = behind[0].start - at > _TWO  # no "seventy two, seventy"
        asks = word in asking and part.heard.asks
        if ((opens or ends) and asks) or (opens and worded and part.meaning.share_of("ask") > _ASKS):
            yield question
