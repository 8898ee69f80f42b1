"""Short words are whole where the conversation waits for them, and stay pieces of a sentence elsewhere."""

from __future__ import annotations

from functools import partial

import pytest

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.pending import awaited
from assistant.live.complete import completeness
from intents.hypotheses import Hypotheses

BEEF = "where does the ground beef go"
BLEACH = "how do I mix a bleach bucket"


def judged(talk: Conversation, text: str) -> str:
    """Return how whole ``text`` is for this conversation as it stands."""
    return completeness(text, talk.interpreter, "hey kitchen", awaited=partial(awaited, talk))


@pytest.mark.parametrize(
    ("before", "said", "expected"),
    [
        (BEEF, "and the turkey", "complete"),
        (BEEF, "why", "complete"),
        (BLEACH, "six percent", "complete"),
        (BLEACH, "six", "number"),
        (BLEACH, "no", "unknown"),
        ("opening set-up", "thirty", "number"),
    ],
)
def test_after_a_question(talk: Conversation, before: str, said: str, expected: str) -> None:
    """What answers or follows up is whole; "no" may open a correction, and a number may go on."""
    talk.hear(Hypotheses.typed(before))
    assert judged(talk, said) == expected


@pytest.mark.parametrize("said", ["and the turkey", "why", "six percent", "six", "thirty"])
def test_out_of_the_blue(talk: Conversation, said: str) -> None:
    """The same words with nothing before them are no whole sentence."""
    assert judged(talk, said) in ("unknown", "open")


def test_judging_changes_nothing(talk: Conversation) -> None:
    """It is done many times while somebody speaks."""
    talk.hear(Hypotheses.typed(BLEACH))
    before = talk.state
    judged(talk, "six percent")
    assert talk.state == before
    assert talk.log.views.count() == 0
