"""When a report was: what is entered with the time said, what is late, what is not back-dated or to come.

The moments are arithmetic on the told words; the bounds are this project's own judgement.
"""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from assistant.dialogue.conversation import Conversation
from assistant.logbook.clock import SetClock
from intents.hypotheses import Hypotheses

AT = datetime(2026, 3, 2, 14, 40, tzinfo=UTC)


@pytest.mark.parametrize(
    ("say", "subject", "said_at", "late"),
    [
        ("walk-in thirty eight at two", "walk-in", "14:00", True),
        ("walk-in thirty eight twenty minutes ago", "walk-in", "14:20", False),
        ("at twenty past one the walk-in read thirty nine", "walk-in", "13:20", True),
        ("changed bucket two at two thirty", "quat bucket 2", "14:30", False),
        ("threw out two quarts of chili at two", "chili", "14:00", True),
        ("beans are eighty eight at ten to two", "beans", "13:50", True),
    ],
)
def test_an_entry_keeps_the_time_said(
    talk: Conversation, clock: SetClock, say: str, subject: str, said_at: str, late: bool
) -> None:
    """Readings, clocks and discards alike; after half an hour an entry is late."""
    clock.time = AT
    entry = talk.hear(Hypotheses.typed(say)).entries[0]
    assert (entry.subject, entry.late) == (subject, late)
    assert entry.said_at is not None
    assert datetime.fromisoformat(entry.said_at).strftime("%H:%M") == said_at


def test_a_time_is_no_value(talk: Conversation, clock: SetClock) -> None:
    """ "At two thirty" is when the bucket was changed, no 230 ppm."""
    clock.time = AT
    turn = talk.hear(Hypotheses.typed("changed bucket two at two thirty"))
    assert all(entry.value is None for entry in turn.entries)


def test_yesterday_is_not_entered(talk: Conversation, clock: SetClock) -> None:
    """What is of another day is refused in words."""
    clock.time = AT
    turn = talk.hear(Hypotheses.typed("walk-in was thirty eight yesterday at noon"))
    assert not turn.entries
    assert "back-date" in turn.reply


@pytest.mark.parametrize("say", ["I need thirty eight bao by four", "walk-in will be forty by four"])
def test_what_is_to_come_is_no_reading(talk: Conversation, clock: SetClock, say: str) -> None:
    """Orders and plans log nothing."""
    clock.time = AT
    assert not talk.hear(Hypotheses.typed(say)).entries


def test_an_opener_before_a_question_logs_nothing(talk: Conversation) -> None:
    """It is judged only."""
    turn = talk.hear(Hypotheses.typed("uh is the walk-in ok at forty three"))
    assert not turn.entries
    assert "Not logged" in turn.reply


@pytest.mark.parametrize(
    "say",
    [
        "chicken's under water since ten",
        "the shrimp went under running water at seven",
        "pizza out at seven, start a clock",
    ],
)
def test_a_clock_told_too_late_is_over(talk: Conversation, clock: SetClock, say: str) -> None:
    """Four hours are over by now, whenever it was begun (FDA Food Code 3-501.13(B), 3-501.19)."""
    clock.time = AT
    turn = talk.hear(Hypotheses.typed(say))
    assert "Throw it out" in turn.reply
    assert [entry.kind for entry in turn.entries] == ["clock", "action_opened"]
