"""No sentence, however mixed up, ends in a traceback: words of the pack thrown together, in one long talk."""

from __future__ import annotations

from datetime import timedelta

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.dialogue.conversation import Conversation, interpreter_for
from assistant.logbook.clock import SetClock
from assistant.site import load_site
from intents.hypotheses import Hypotheses

PACK = interpreter_for(load_site())
EXAMPLES = sorted(e.say for intent in PACK.catalogue.intents.values() for e in intent.examples)
PHRASES = sorted({word for example in EXAMPLES for word in example.lower().split()})
NAMES = sorted({phrase for phrase, _ in (*PACK.names.foods[::7], *PACK.names.equipment, *PACK.names.rounds)})
NUMBERS = [
    "two",
    "fifteen",
    "fifty",
    "thirty eight",
    "one sixty five",
    "four below",
    "two o'clock",
    "3 hours",
]

mixed = st.lists(st.sampled_from(PHRASES + NAMES + NUMBERS * 20), min_size=1, max_size=6).map(" ".join)
ANSWERS = [
    "yes",
    "no",
    "cooling",
    "two hours",
    "since six",
    "half a pan",
    "the first one",
    "scratch that",
    "why",
    "the walk-in",
]
turns = st.lists(
    st.one_of(st.sampled_from(EXAMPLES), mixed, st.sampled_from(ANSWERS)), min_size=1, max_size=8
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(said=turns, minutes=st.integers(min_value=0, max_value=200))
def test_every_turn_ends_in_a_turn(
    talk: Conversation, clock: SetClock, said: list[str], minutes: int
) -> None:
    """Each turn gives words or silence, and whatever it logs has the words that were heard."""
    for sentence in said:
        turn = talk.hear(Hypotheses.typed(sentence))
        assert turn.heard
        assert turn.reply != talk.catalogue["unsure"].replies["fault"], sentence
        assert all(entry.words for entry in turn.entries if entry.kind != "clock_change")
    clock.time += timedelta(minutes=minutes)
    talk.remind()
