"""The water of a sanitizer, judged without a strength."""

from __future__ import annotations

from decimal import Decimal

from assistant.rules.basis import Temperature, Verdict
from assistant.rules.product import Product
from assistant.rules.profile import load_profile
from assistant.rules.sanitizer_water import judge_mixing_water, judge_solution_water

FDA = load_profile()


def water(degrees: int) -> Temperature:
    return Temperature(Decimal(degrees))


def test_a_cold_quat_sink_fails_unless_its_label_allows_it() -> None:
    """58F is too cold for quat; a label for 55F changes that."""
    judged = judge_solution_water(water(58), "quat", FDA)
    assert (judged.reason, judged.action) == ("water_too_cold", "remake_warmer")
    cool = Product("cool quat", "quat", Decimal(200), Decimal(400), water_min=water(55))
    assert judge_solution_water(water(58), "quat", FDA, cool).passed
    assert judge_solution_water(water(54), "quat", FDA, cool).reason == "water_too_cold"
    assert judge_solution_water(water(76), "quat", FDA, Product("q", "quat")).passed


def test_chlorine_water_depends_on_the_strength() -> None:
    """Under 55F nothing passes; above, the strength has to be known."""
    assert judge_solution_water(water(54), "chlorine", FDA).reason == "water_too_cold"
    judged = judge_solution_water(water(70), "chlorine", FDA)
    assert (judged.verdict, judged.action) == (Verdict.CANNOT_JUDGE, "ask_ppm")
    assert judged.details["enough_ppm"] == 100


def test_bleach_is_not_mixed_into_hot_water() -> None:
    """Over 120F chlorine gasses off; cold water is no good either."""
    assert judge_mixing_water(water(130), FDA).action == "use_cool_water"
    assert judge_mixing_water(water(50), FDA).action == "use_warmer_water"
    assert judge_mixing_water(water(70), FDA).passed
