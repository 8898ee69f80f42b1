"""A bad strip is no reading."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.rules.basis import Verdict
from assistant.rules.product import Between
from assistant.rules.strips import Strip, between_blocks, judge_strip, judge_zero_reading

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


def test_a_blank_strip_asks_for_the_kind_first() -> None:
    """Zero may be the wrong paper: never top up with bleach."""
    assert judge_zero_reading(None, "chlorine").action == "check_kind"
    assert judge_zero_reading("quat", None).action == "check_kind"
    assert judge_zero_reading("quat", "chlorine").action == "use_right_strip"
    assert judge_zero_reading("chlorine", "chlorine").action == "remake"


def test_a_colour_between_blocks_stays_an_interval() -> None:
    """On a block it is a number, else the two blocks around it."""
    assert between_blocks(Decimal(100), BLOCKS) == 100
    assert between_blocks(Decimal(150), BLOCKS) == Between(Decimal(100), Decimal(200))
    assert between_blocks(Decimal(25), BLOCKS) == Between(Decimal(0), Decimal(50))
    assert between_blocks(Decimal(250), BLOCKS) == Between(Decimal(200), Decimal(250))
