"""What is done with words said without the phrase while others talk on: they may be two people's, joined.

A reading is asked about, whatever the listeners think (``gate.agreed``). Everything else, a yes among it,
counts only where both listeners heard the same: a single one makes a sentence of anything. An emergency
always counts.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.emergencies import emergency_in
from assistant.dialogue.hearing import Heard, numbers_of
from assistant.dialogue.outcome import Outcome
from intents.interpret import Interpretation


def doubted(talk: Conversation, outcome: Outcome, heard: Heard) -> bool:
    """True when ``outcome`` rests on what only one of two listeners made of several voices."""
    if not heard.crowded or heard.second is None:
        return False
    if emergency_in(heard.interpretation.heard.words, talk.interpreter.lexicon):
        return False
    asked_about = bool(outcome.readings) and outcome.pending is not None and not outcome.drafts
    return not asked_about and (heard.rival is None or not same(heard.interpretation, heard.rival))


def marked(talk: Conversation, outcome: Outcome, heard: Heard) -> Outcome:
    """Return ``outcome`` with its new question marked where somebody else may have said what it is about."""
    new = outcome.pending is not None and outcome.pending is not talk.state.pending
    if not new or outcome.pending is None or not heard.crowded or talk.addressed:
        return outcome
    return replace(outcome, pending=replace(outcome.pending, in_a_crowd=True))


def same(mine: Interpretation, other: Interpretation) -> bool:
    """True when both mean the same with the same numbers."""
    if numbers_of(mine) != numbers_of(other):
        return False
    if mine.heard.words == other.heard.words:
        return True
    intents = [read.best.intent if read.best else "" for read in (mine, other)]
    return bool(intents[0]) and intents[0] == intents[1]
