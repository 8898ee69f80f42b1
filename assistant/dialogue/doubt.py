"""Whether two listeners differ about what is going to be written down: then it is asked for again.

Readings pass the gate themselves; this is for everything else that leaves an entry.
"""

from __future__ import annotations

from assistant.dialogue import crowd
from assistant.dialogue.amend import parse_amendment
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.gate import agreed
from assistant.dialogue.hearing import Heard, numbers_of, singular
from assistant.dialogue.meant import UNSURE
from assistant.dialogue.outcome import Outcome
from intents.interpret import Interpretation

TIMES = ("duration", "clock")
SURE_ALONE = 0.6
"""Share of the first listener's mass for a time or an amount of which the second heard nothing."""


def settled(talk: Conversation, outcome: Outcome, heard: Heard) -> Outcome:
    """Return ``outcome``, or what is said in its place where it is in doubt: say it again, or nothing."""
    if crowd.doubted(talk, outcome, heard):
        return Outcome(None, UNSURE, pending=talk.state.pending, keep_context=True)
    if not doubtful(talk, outcome, heard):
        return crowd.marked(talk, outcome, heard)
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
