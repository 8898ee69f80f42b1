"""Whether something is in doubt by its sound: two listeners differ, others talk, it was too far away.

What is going to be written down is asked for again then. Readings pass the gate themselves.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue.amend import parse_amendment
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.emergencies import emergency_in
from assistant.dialogue.gate import agreed
from assistant.dialogue.hearing import Heard, numbers_of, singular
from assistant.dialogue.meant import UNSURE
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.wake import strip_wake
from intents.hypotheses import Hypotheses
from intents.interpret import Interpretation

TIMES = ("duration", "clock")
SURE_ALONE = 0.6
"""Share of the first listener's mass for a time or an amount of which the second heard nothing."""


def settled(talk: Conversation, outcome: Outcome, heard: Heard) -> Outcome:
    """Return ``outcome``, or what is said in its place where it is in doubt: say it again, or nothing."""
    if doubted(talk, outcome, heard):
        return Outcome(None, UNSURE, pending=talk.state.pending, keep_context=True)
    if not doubtful(talk, outcome, heard):
        return marked(talk, outcome, heard)
    again = talk.words("say_it_again")
    return Outcome(None, UNSURE, text=again, pending=talk.state.pending, keep_context=True)


def doubtful(talk: Conversation, outcome: Outcome, heard: Heard) -> bool:
    """True when ``outcome`` would write down what only one of two listeners, or an unsure one, heard."""
    if heard.typed:
        return False
    if not outcome.drafts:
        return outcome.answer is not None and times_differ(heard)
    if outcome.intent == "correction":
        return _amended_otherwise(talk, heard)
    if outcome.own_drafts and not (outcome.answer and outcome.answer.drafts) and outcome.readings:
        return False  # readings have passed the gate
    if any(draft.value is not None for draft in outcome.drafts):
        # "Gravy" that the first writes "rabies" must not go down as the bread that the second heard.
        return heard.alone or not agreed(heard, "confusable_log_at_once")
    if heard.rival is None:
        return bool(numbers_of(heard.interpretation)) and not agreed(heard)
    if numbers_of(heard.interpretation):
        return not agreed(heard) and _numbers_differ(heard, heard.rival)
    return _contradicts(heard.rival, heard.interpretation)


def times_differ(heard: Heard) -> bool:
    """True when the listeners heard different times: advice on how long is left must not rest on one."""
    if heard.rival is None or agreed(heard):
        return False
    mine, other = (
        [number for number in numbers_of(meant) if number[0] in TIMES]
        for meant in (heard.interpretation, heard.rival)
    )
    only_second = heard.agreement == 0  # the first listener heard it otherwise, or heard another time
    return bool(mine and other) and (mine != other or only_second)


def _numbers_differ(heard: Heard, rival: Interpretation) -> bool:
    """True when the second listener heard other numbers, or none while the first wavers."""
    other = {value for _, value in numbers_of(rival)}
    if not other:
        return heard.agreement < SURE_ALONE
    return bool(other - {value for _, value in numbers_of(heard.interpretation)})


def _amended_otherwise(talk: Conversation, heard: Heard) -> bool:
    """True when the second listener heard a correction of another kind or place, or none.

    It lacks words such as "correction": where both heard the new number, that is enough.
    """
    lexicon = talk.interpreter.lexicon
    mine = parse_amendment(heard.interpretation.heard, lexicon)
    if mine is None or heard.rival is None:
        return False
    other = parse_amendment(heard.rival.heard, lexicon)
    if other is None:
        return mine.value is None or not agreed(heard)
    return (other.takes_back, other.place, other.food) != (mine.takes_back, mine.place, mine.food)


def _contradicts(rival: Interpretation, chosen: Interpretation) -> bool:
    """True when the second listener's likeliest words name another food or place instead."""
    return bool(_names(chosen) - _names(rival)) and bool(_names(rival) - _names(chosen))


def _names(meant: Interpretation) -> set[tuple[str, str]]:
    return {(kind, singular(span.value)) for kind, spans in meant.heard.names.items() for span in spans}


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
    if not new or outcome.pending is None or not heard.beside_others or talk.addressed:
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
