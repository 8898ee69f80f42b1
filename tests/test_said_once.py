"""What one process of a test run was told by the net the others have exactly so."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

from intents.meaning import Meaning, meanings
from tests.said_once import SaidOnce, Words


def test_another_process_has_the_very_same(tmp_path: Path) -> None:
    net, asked = meanings(), list[tuple[Words, Words]]()

    def ask(words: Words, before: Words) -> Meaning:
        asked.append((words, before))
        return net.read(words, before)

    said, before = ("what", "about", "the", "rice"), ("how", "hot", "is", "soup")
    file = tmp_path / "said.sqlite3"
    with closing(SaidOnce(ask, file)) as one, closing(SaidOnce(ask, file)) as other:
        assert one.meaning_of(said) == other.meaning_of(said) == net.read(said)
        assert other.meaning_of(said, before) == one.meaning_of(said, before) == net.read(said, before)
        assert one.meaning_of((said[0], "about the rice")) != one.meaning_of(said)
    assert asked == [(said, ()), (said, before), ((said[0], "about the rice"), ())]
