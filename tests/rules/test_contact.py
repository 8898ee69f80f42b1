"""Contact times: the code's, the label's where longer, the short one only in warm mild water."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.rules.basis import Temperature
from assistant.rules.contact import contact_time
from assistant.rules.product import Product
from assistant.rules.profile import load_profile

FDA = load_profile()


@pytest.mark.parametrize(
    ("ppm", "degrees", "ph", "seconds"),
    [(50, 75, 8, 7), (50, 74, 8, 10), (60, 100, 10, 7), (60, 99, 9, 10), (60, 100, 11, 10), (100, 75, 7, 10)],
)
def test_seven_seconds_need_warm_water(ppm: int, degrees: int, ph: int, seconds: int) -> None:
    """4-703.11(C): seven seconds for 50 ppm with the warm pairs, else ten."""
    water = Temperature(Decimal(degrees))
    assert contact_time("chlorine", FDA, ppm=Decimal(ppm), temperature=water, ph=Decimal(ph)).value == seconds


def test_a_longer_label_time_wins() -> None:
    """Sixty seconds on the label beat thirty in the code; ten do not."""
    slow = Product("q", "quat", contact_seconds=Decimal(60))
    assert contact_time("quat", FDA, slow).citation.flag == "SITE"
    assert contact_time("quat", FDA, slow).value == 60
    assert contact_time("quat", FDA, Product("q", "quat", contact_seconds=Decimal(10))).value == 30
