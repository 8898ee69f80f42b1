"""What an utterance comes to once its words are known: whether it was meant, and what follows the call."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue.wake import LEAST_SHARE, after_wake, traced
from assistant.live.attention import Attention
from assistant.speech.calls import Call
from intents.hypotheses import Hypotheses


def behind_call(hypotheses: Hypotheses, call: Call, phrase: str) -> Hypotheses:
    """Return what was said after the phrase: an opening one by the looks, another by its trace."""
    later = hypotheses.woken and traced(hypotheses, phrase, later=call is Call.NO)
    return after_wake(replace(hypotheses, woken=call is Call.YES or later), phrase)


def addressed(
    hypotheses: Hypotheses, began: float, call: Call, attention: Attention
) -> tuple[bool, str, bool]:
    """Return whether it is meant, the best words' rest, and whether the phrase was there.

    Where the looks have judged, what is written like the phrase does not count beside them.
    """
    meant, rest, found = attention.addressed(hypotheses.best, began)
    if call in (Call.YES, Call.NO):
        return hypotheses.woken or attention.awake(began), rest, hypotheses.woken
    likely = (each.text for each in hypotheses.alternatives if each.share >= LEAST_SHARE)
    found = found or hypotheses.woken
    return meant or found or any(attention.addressed(text, began)[0] for text in likely), rest, found
