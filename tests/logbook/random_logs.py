"""Turns of random entries, for properties that hold whatever was logged."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from assistant.logbook import Draft

MORNING = datetime(2026, 3, 2, 9, tzinfo=UTC)
QUICK = "/dev/shm" if Path("/dev/shm").is_dir() else None
"""Where flushing costs nothing: power cuts are not what is tested here."""

words = st.text(st.characters(codec="utf-8"), max_size=12)
drafts = st.builds(
    Draft,
    kind=st.sampled_from(["reading", "note", "event", "not_taken", "sign_in"]),
    subject=words,
    person=words,
    words=words,
    value=st.none() | st.integers(-500, 5000).map(lambda tenths: str(Decimal(tenths) / 10)),
    verdict=st.none() | st.sampled_from(["pass", "fail"]),
    late=st.booleans(),
)
logs = st.lists(drafts, min_size=3, max_size=8)
SLOW = settings(max_examples=100, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
