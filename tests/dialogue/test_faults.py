"""A fault of the program's own inside a turn: it is said, nothing is logged, no emergency is silent."""

from __future__ import annotations

import pytest

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.reports import restated
from intents.hypotheses import Hypotheses


@pytest.fixture
def broken(talk: Conversation, monkeypatch: pytest.MonkeyPatch) -> Conversation:
    """A conversation whose reading of reports fails, before it is known what was meant."""

    def fails(*_: object) -> None:
        raise ValueError("a fault made for this test")

    monkeypatch.setattr(restated, "first", fails)
    return talk


def test_a_fault_is_said_and_logs_nothing(broken: Conversation) -> None:
    """One clear sentence, and no entry."""
    turn = broken.hear(Hypotheses.typed("walk-in thirty eight"))
    assert "nothing was logged" in turn.reply
    assert not turn.entries


@pytest.mark.parametrize("said", ["the fryer is on fire", "I smell gas by the range", "huele a gas"])
def test_an_emergency_is_answered_all_the_same(broken: Conversation, said: str) -> None:
    """Whatever fails: get away, call for help."""
    turn = broken.hear(Hypotheses.typed(said))
    assert "emergenc" in turn.reply
    assert "nothing was logged" not in turn.reply
