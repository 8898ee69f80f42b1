"""The report on two nets counts what was lost and won, and prints no sentence of a set that is only counted.

The sentences, and what the two made-up nets take them for, are invented here.
"""

from __future__ import annotations

from intents.meaning import FOLDER
from tests.understanding.changed import Move, compared, reader, report
from tests.understanding.judge import Sentence


def _sentence(say: str, intent: str, *others: str) -> Sentence:
    return Sentence(say, intent, frozenset(others), unsafe=False, act="ask", speaker="nobody")


SAID = [
    _sentence("stays right", "dropped"),
    _sentence("taken away", "dropped"),
    _sentence("the other right one", "dropped", "tableware"),
    _sentence("found at last", "air_dry"),
    _sentence("wrong both times", "air_dry"),
]
BEFORE = ["dropped", "dropped", "dropped", "cloths", "cloths"]
AFTER = ["dropped", "tableware", "tableware", "air_dry", "tableware"]


def _moves() -> list[Move]:
    says = [each.say for each in SAID]
    before, after = dict(zip(says, BEFORE, strict=True)), dict(zip(says, AFTER, strict=True))
    return compared(SAID, before.__getitem__, after.__getitem__)


def test_lost_and_won_are_counted_by_intent() -> None:
    """A move between two right intents is neither; one between two wrong ones is counted apart."""
    first, *rest = report("unseen_2", _moves())
    assert first == (
        "unseen_2: 5 sentences, right 3 before, 3 now; lost 1, won 1, taken for another without either 2"
    )
    assert rest == ["  air_dry (2): won 1 from cloths", "  dropped (3): lost 1 to tableware"]


def test_sentences_are_printed_only_of_the_set_that_may_be_read() -> None:
    """The counted set stays unread."""
    assert "  lost: taken away [dropped] dropped -> tableware" in report("unseen_1", _moves())
    assert not any(each.say in line for each in SAID for line in report("unseen_2", _moves()))


def test_a_net_beside_itself_changes_nothing() -> None:
    """The folder in use, read twice."""
    said = [_sentence("how long do I wash my hands", "hand_how"), _sentence("where do I put the bread", "x")]
    assert not any(m.before != m.after for m in compared(said, reader(FOLDER), reader(FOLDER)))
