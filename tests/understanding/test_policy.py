"""The policy's table: every step can be reached, a yes needs more than a no, emergencies are never silent."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.emergencies import emergency_in
from assistant.dialogue.policy import Facts, decide, rows
from intents.hypotheses import Hypotheses
from intents.lexicon import load_lexicon

SURE = Facts(meant="topic", share=0.95, lead=0.9, talk=0.0, answers=0.0, danger=0.0, addressed=True)
shares = st.floats(0, 1, allow_nan=False)
facts = st.builds(
    Facts,
    meant=st.sampled_from(["topic", "unsupported", "none"]),
    share=shares,
    lead=shares,
    talk=shares,
    answers=shares,
    danger=shares,
    addressed=st.booleans(),
    stance=st.sampled_from(["permits", "refuses", "neutral", "told", "asks"]),
    unused=st.booleans(),
    emergency=st.booleans(),
)


@given(facts)
def test_some_row_always_decides(each: Facts) -> None:
    """The last row has no bounds."""
    assert decide(each).step


@given(facts)
def test_a_yes_never_passes_where_a_no_does_not(each: Facts) -> None:
    """What permits is answered only where what refuses would be answered, too."""
    yes = decide(replace(each, stance="permits", emergency=False))
    no = decide(replace(each, stance="refuses", emergency=False))
    if yes.step == "answer":
        assert no.step == "answer"


@given(facts)
def test_no_yes_over_something_unused(each: Facts) -> None:
    """A negation or a number that nothing used never ends in a permission."""
    row = decide(replace(each, stance="permits", unused=True, emergency=False))
    assert row.step != "answer"


@given(facts)
def test_what_is_likeliest_talk_is_never_answered(each: Facts) -> None:
    """Talk, and questions without an answer here, get no answer of another intent."""
    if each.meant != "topic":
        assert decide(each).step in ("silence", "no_rule")


def test_every_row_is_named_once() -> None:
    """Names are what --explain shows."""
    names = [row.name for row in rows()]
    assert len(names) == len(set(names))
    assert decide(SURE).step == "answer"


EMERGENCIES = sorted(
    (phrase, name.removeprefix("emergency_"))
    for name, phrases in load_lexicon("en").lists.items()
    if name.startswith("emergency_")
    for phrase in phrases
)


@pytest.mark.parametrize(("phrase", "intent"), EMERGENCIES)
def test_an_emergency_is_never_silent(phrase: str, intent: str, talk: Conversation) -> None:
    """Whatever stands around it: the exact words are enough."""
    turn = talk.hear(Hypotheses.typed(f"uh guys {phrase} what now"))
    assert turn.reply
    assert turn.intent == intent or "emergency services" in turn.reply
    assert emergency_in(tuple(phrase.split()), load_lexicon("en")) == intent


@pytest.mark.parametrize(
    "said", ["fire two salmon", "fire table nine", "can somebody fire table nine two ribeyes"]
)
def test_an_order_called_out_is_no_fire(said: str, talk: Conversation) -> None:
    """Cooks fire dishes all day."""
    assert talk.hear(Hypotheses.typed(said)).silent
