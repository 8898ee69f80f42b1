"""Memory is given back now and then, and never without need."""

from __future__ import annotations

import pytest

from assistant.live import memory
from assistant.live.memory import EVERY_S, MemoryKeeper


def test_given_back_at_most_every_so_often(monkeypatch: pytest.MonkeyPatch) -> None:
    """However often the kitchen is quiet."""
    given: list[float] = []
    now = [0.0]
    monkeypatch.setattr(memory, "give_back", lambda: given.append(now[0]))
    keeper = MemoryKeeper(lambda: now[0])
    for step in range(10):
        now[0] = step * EVERY_S / 4
        keeper.idle()
    assert given == [EVERY_S, 2 * EVERY_S]


def test_a_library_that_cannot_is_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Elsewhere than with GNU's C library nothing happens."""
    monkeypatch.setattr(memory, "_trim", lambda: None)
    assert memory.give_back() is False
