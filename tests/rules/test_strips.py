"""A bad strip is no reading."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.rules.basis import Verdict
from assistant.rules.strips import Strip, judge_strip

BLOCKS = (Decimal(50), Decimal(100), Decimal(200))


@pytest.mark.parametrize(
    ("strip", "reason"),
    [
        (Strip(kind="chlorine"), "wrong_strip"),
        (Strip(kind="quat", expired=True), "strip_expired"),
        (Strip(wet_vial=True), "strip_wet"),
        (Strip(dipped_seconds=Decimal(3), vial_seconds=Decimal(10)), "strip_mistimed"),
    ],
)
def test_a_bad_strip_gives_no_reading(strip: Strip, reason: str) -> None:
    """Wrong paper, old, wet or dipped for the wrong time: cannot judge."""
    judged = judge_strip(strip, "quat")
    assert (judged.verdict, judged.reason) == (Verdict.CANNOT_JUDGE, reason)


@pytest.mark.parametrize(
    "strip",
    [
        Strip(),
        Strip(kind="quat", dipped_seconds=Decimal(10), vial_seconds=Decimal(10)),
        Strip(vial_seconds=Decimal(10)),
    ],
)
def test_a_good_strip_counts(strip: Strip) -> None:
    """Nothing wrong said of it, it counts."""
    assert judge_strip(strip, "quat").passed
