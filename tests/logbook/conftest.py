"""A clock that stands still, an empty log, and short ways to say what was logged."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from assistant.logbook import Draft, Logbook, SetClock


@pytest.fixture
def clock() -> SetClock:
    """Half past nine on a Monday in March, five hours behind UTC."""
    return SetClock(datetime(2026, 3, 2, 9, 30, tzinfo=timezone(timedelta(hours=-5))))


@pytest.fixture
def log(tmp_path: Path, clock: SetClock) -> Iterator[Logbook]:
    """An empty log of a made-up kitchen."""
    with Logbook.open(tmp_path / "state", site="Pine Street", clock=clock) as opened:
        yield opened


@pytest.fixture
def failed() -> Draft:
    """A walk-in that reads too warm."""
    return Draft(
        kind="reading",
        subject="walk-in",
        measured="air",
        value="45",
        unit="F",
        verdict="fail",
        person="Dana",
        words="walk in forty five",
    )


@pytest.fixture
def passed(failed: Draft) -> Draft:
    """The same walk-in, cold again."""
    return failed.model_copy(update={"value": "38", "verdict": "pass", "words": "walk in thirty eight"})


@pytest.fixture
def opened() -> Draft:
    """The corrective action that goes with a failed reading logged just before it."""
    return Draft(kind="action_opened", subject="walk-in", measured="air", refers_to=-1)
