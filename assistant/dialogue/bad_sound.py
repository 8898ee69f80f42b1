"""What to say when the sound, not the words, was the trouble: too far away, too loud."""

from __future__ import annotations

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.wake import strip_wake
from intents.hypotheses import Hypotheses

TELLING = frozenset({"too_quiet", "clipped"})
"""Faults of the sound that the speaker can mend."""


def explained(talk: Conversation, outcome: Outcome, hypotheses: Hypotheses) -> Outcome:
    """Return ``outcome``, or what to do about the sound where it was not understood for that.

    Only who surely spoke to the assistant is told: with the wake phrase, or in answer to a question.
    """
    if hypotheses.advice not in TELLING:
        return outcome
    reply = outcome.answer.reply if outcome.answer else ""
    addressed = hypotheses.woken or strip_wake(hypotheses.best, talk.site.kitchen.wake_phrase)[1]
    lost = outcome.intent in ("", "unsure") and not outcome.text and addressed
    if reply != "say_again" and not lost:
        return outcome
    waiting = talk.state.pending
    return Outcome(None, "unsure", text=talk.words(hypotheses.advice), pending=waiting, keep_context=True)
