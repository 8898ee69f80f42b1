"""Known sentences in any order, with any reply to any question: no fault, and the log verifies.

The same at length: ``uv run python -m tests.benchmarks.conversations``.
"""

from __future__ import annotations

from tests.benchmarks.conversations import run


def test_random_conversations_end_in_no_fault() -> None:
    """Nothing but words or silence comes of a turn, and every log proves whole."""
    found = run(250, seed=3)
    assert found.faults == []
    assert found.broken == []
    assert found.entries
