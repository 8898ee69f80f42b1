"""Buckets, cloths and set-ups."""

from __future__ import annotations

from decimal import Decimal
from typing import get_args

import pytest

from assistant.rules.buckets import (
    ChangeToBucket,
    judge_bucket_age,
    judge_bucket_change,
)
from assistant.rules.product import Product
from assistant.rules.profile import load_profile
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


@pytest.mark.parametrize(
    ("hours", "reason"),
    [
        (Decimal(5), "not_tested"),
        (Decimal("23.9"), "not_tested"),
        (Decimal(24), "too_old"),
        (None, "age_unknown"),
    ],
)
def test_a_bucket_ends_by_age(hours: Decimal | None, reason: str) -> None:
    """A day ends it (public health leaflets); younger, the strip decides."""
    assert judge_bucket_age(hours, FDA).reason == reason


@pytest.mark.parametrize("change", get_args(ChangeToBucket))
def test_a_wrong_bucket_is_only_ever_remade(change: ChangeToBucket) -> None:
    """No topping up, no thinning, no soap, and never bleach into quat."""
    judged = judge_bucket_change(change)
    assert judged.passed == (change == "remake")
    assert judged.passed or judged.action == "remake"
