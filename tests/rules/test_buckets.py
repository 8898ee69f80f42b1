"""Buckets, cloths and set-ups."""

from __future__ import annotations

from decimal import Decimal
from typing import get_args

import pytest

from assistant.rules.basis import Verdict
from assistant.rules.buckets import (
    BucketUse,
    ChangeToBucket,
    ClothKeeping,
    judge_bucket_age,
    judge_bucket_change,
    judge_bucket_sharing,
    judge_cloth,
    judge_dispenser,
)
from assistant.rules.product import Product
from assistant.rules.profile import load_profile
from assistant.rules.sanitizer import judge_quat
from assistant.rules.setups import setup_steps

FDA = load_profile()
QUAT = Product("q", "quat", Decimal(200), Decimal(400))


def test_the_three_compartments_come_in_order() -> None:
    """Wash, rinse, sanitize, air dry: never sanitize before the rinse."""
    names = [step.name for step in setup_steps("three_compartment_sink")]
    order = ["scrape", "wash_hot_soapy", "rinse_clear", "sanitize", "air_dry"]
    assert [name for name in names if name in order] == order


def test_a_bucket_gets_concentrate_into_water_and_a_strip() -> None:
    """Water first, then concentrate, then the strip."""
    names = [step.name for step in setup_steps("bucket")]
    assert (
        names.index("measure_water")
        < names.index("add_concentrate_to_water")
        < names.index("test_with_strip")
    )


def test_an_unknown_set_up_lists_those_that_exist() -> None:
    """The message helps."""
    with pytest.raises(LookupError, match="no set-up is called 'tea'; choose one of: three_compartment_sink"):
        setup_steps("tea")


@pytest.mark.parametrize("use", get_args(BucketUse))
def test_raw_and_ready_to_eat_have_separate_buckets(use: BucketUse) -> None:
    """Only raw with raw shares with raw."""
    assert judge_bucket_sharing("raw_animal", use).passed == (use == "raw_animal")
    assert judge_bucket_sharing("ready_to_eat", use).passed == (use != "raw_animal")


@pytest.mark.parametrize(
    ("hours", "cloudy", "strip", "reason"),
    [
        (Decimal(1), False, True, "in_range"),
        (Decimal(24), False, True, "in_range"),
        (Decimal("24.1"), False, True, "too_old"),
        (Decimal(1), True, True, "solution_soiled"),
        (Decimal(1), False, False, "strip_failed"),
        (Decimal(1), False, None, "not_tested"),
        (None, False, True, "age_unknown"),
    ],
)
def test_a_bucket_ends_by_soil_strip_or_age(
    hours: Decimal | None, cloudy: bool, strip: bool | None, reason: str
) -> None:
    """Any one of the three ends it."""
    assert judge_bucket_age(hours, FDA, cloudy=cloudy, strip_passed=strip).reason == reason


@pytest.mark.parametrize("change", get_args(ChangeToBucket))
def test_a_wrong_bucket_is_only_ever_remade(change: ChangeToBucket) -> None:
    """No topping up, no thinning, no soap, and never bleach into quat."""
    judged = judge_bucket_change(change)
    assert judged.passed == (change == "remake")
    assert judged.passed or judged.action == "remake"


@pytest.mark.parametrize("kept", get_args(ClothKeeping))
def test_wet_cloths_live_in_sanitizer(kept: ClothKeeping) -> None:
    """Counter, shoulder, apron and floor are no place for a wet cloth."""
    assert judge_cloth(kept).passed == (kept in ("in_sanitizer", "dry_for_spills"))


def test_a_wrong_dispenser_is_a_call_for_service() -> None:
    """A passing test stays as it is."""
    wrong = judge_dispenser(judge_quat(Decimal(500), None, FDA, QUAT))
    assert (wrong.verdict, wrong.reason, wrong.action) == (Verdict.FAIL, "too_high", "call_service")
    assert judge_dispenser(judge_quat(Decimal(300), None, FDA, QUAT)).action == ""
