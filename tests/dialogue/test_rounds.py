"""Guided rounds against the log: in whatever order the readings come, nothing is lost or made up."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.round_talk import running
from intents.hypotheses import Hypotheses, Hypothesis

GOOD = {
    "hand sink 1": "one hundred and two",
    "third sink": "two hundred",
    "quat bucket 1": "two fifty",
    "quat bucket 2": "three hundred",
    "dish machine": "one eighty four",
    "walk-in": "thirty eight",
    "reach-in": "thirty nine point five",
    "freezer": "four below",
}
"""A passing number for every place of the example kitchen's opening round."""
NUMBER = "one"
"""Which freezer, of two: asked before anything is logged."""


def say(talk: Conversation, words: str) -> list[tuple[str, str | None]]:
    """Take one typed turn; return subject and value of its readings."""
    turn = talk.hear(Hypotheses.typed(words))
    if turn.reply.startswith("Which freezer"):
        assert not turn.entries
        turn = talk.hear(Hypotheses.typed(NUMBER))
        return [("freezer", entry.value) for entry in turn.entries if entry.subject == "freezer 1"]
    return [(entry.subject, entry.value) for entry in turn.entries if entry.kind == "reading"]


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(order=st.permutations(list(GOOD)), led=st.lists(st.booleans(), min_size=8, max_size=8))
def test_any_order_fills_the_round(talk: Conversation, order: list[str], led: list[bool]) -> None:
    """Places said in any order, by name or by the bare number asked for, land where they belong."""
    say(talk, "start the opening")
    for place, by_name in zip(order, led, strict=True):
        now = running(talk)
        assert now is not None
        if place not in now.left:
            continue
        asked = talk.state.asked_place
        if not by_name and asked:
            assert say(talk, GOOD[asked])[0][0] == asked
        else:
            assert [subject for subject, _ in say(talk, f"{place} {GOOD[place]}")] == [place]
    while (now := running(talk)) is not None and now.left:
        assert say(talk, f"{now.left[0]} {GOOD[now.left[0]]}")[0][0] == now.left[0]
    assert running(talk) is None


def test_a_round_survives_a_restart(talk: Conversation) -> None:
    """A new conversation on the same log knows the round, what is done and what is left."""
    say(talk, "start the opening")
    say(talk, "walk-in thirty eight")
    again = Conversation(talk.site, talk.log, talk.clock, talk.interpreter)
    now = running(again)
    assert now is not None
    assert now.done == ("walk-in",)
    assert len(now.left) == 7


def test_a_reading_by_somebody_else_counts(talk: Conversation) -> None:
    """A reading logged outside the led talk, by a second microphone, is not asked again."""
    say(talk, "start the closing round")
    other = Conversation(talk.site, talk.log, talk.clock, talk.interpreter)
    say(other, "reach-in thirty eight")
    turn = talk.hear(Hypotheses.typed("walk-in thirty eight"))
    assert "Freezer?" in turn.reply


def test_a_numbered_unit_stands_for_its_family(talk: Conversation) -> None:
    """Freezer 2 answers the plan's freezer."""
    say(talk, "start the closing round")
    say(talk, "freezer two at zero")
    now = running(talk)
    assert now is not None
    assert now.done == ("freezer",)


def test_a_skipped_place_may_still_be_read(talk: Conversation) -> None:
    """A reading after a skip replaces it: the last word counts."""
    say(talk, "start the closing round")
    say(talk, "skip it")
    say(talk, "walk-in thirty eight")
    now = running(talk)
    assert now is not None
    assert (now.done, now.skipped) == (("walk-in",), ())


def heard(*alternatives: tuple[str, float]) -> Hypotheses:
    """Return hypotheses of a recogniser with their shares."""
    return Hypotheses(tuple(Hypothesis(text, share) for text, share in alternatives), engine="scripted")


def test_an_unsure_bare_number_is_not_logged(talk: Conversation) -> None:
    """A number that answers the asked place passes the same gate as any other."""
    talk.hear(Hypotheses.typed("start the closing round"))
    turn = talk.hear(heard(("thirteen", 0.6), ("thirty", 0.4)))
    assert not turn.entries
    sure = talk.hear(heard(("walk-in thirty eight", 1.0)))
    assert [(e.subject, e.value) for e in sure.entries] == [("walk-in", "38")]


def test_a_sure_bare_number_is_logged(talk: Conversation) -> None:
    """Heard the same way by every hypothesis, it is logged at once."""
    talk.hear(Hypotheses.typed("start the closing round"))
    turn = talk.hear(heard(("thirty eight", 0.7), ("thirty eight.", 0.3)))
    assert [(e.subject, e.value) for e in turn.entries] == [("walk-in", "38")]
