"""The water of a sanitizer: too cold to work, or too hot to mix bleach into."""

from __future__ import annotations

from decimal import Decimal

from assistant.rules.basis import Judgement, Range, Temperature, Verdict
from assistant.rules.compare import colder_than, judge_at_least, judge_at_most
from assistant.rules.product import Product, SanitizerKind
from assistant.rules.profile import Profile
from assistant.rules.sanitizer import ENOUGH_PPM


def judge_solution_water(
    temperature: Temperature, kind: SanitizerKind, profile: Profile, product: Product | None = None
) -> Judgement:
    """Judge only the water of a solution whose strength was not said.

    For chlorine the strength decides between the coldest and the warmest of its table: ``ask_ppm``.
    """
    label = product.water_min if product else None
    if label is not None and temperature.in_unit(label.unit) < label.value:
        limits = Range(label.unit, low=label.value)
        assert product is not None
        return Judgement(Verdict.FAIL, "water_too_cold", (product.citation,), limits, "remake_warmer")
    if kind != "chlorine":
        return _label_or_code(temperature, kind, profile, product)
    coldest, mild = profile.limit("chlorine_100_water_min"), profile.limit("chlorine_50_water_min")
    if colder_than(temperature, coldest):
        return judge_at_least(temperature, coldest, "remake_warmer", "water_too_cold")
    details: dict[str, Decimal | str] = {"enough_ppm": ENOUGH_PPM, "weaker_water_min": mild.value}
    citations = (coldest.citation, mild.citation)
    limits = Range(coldest.unit, low=coldest.value)
    return Judgement(Verdict.CANNOT_JUDGE, "strength_unknown", citations, limits, "ask_ppm", details)


def _label_or_code(
    temperature: Temperature, kind: SanitizerKind, profile: Profile, product: Product | None
) -> Judgement:
    if product is not None and product.water_min is not None:
        limits = Range(product.water_min.unit, low=product.water_min.value)
        return Judgement(Verdict.PASS, "in_range", (product.citation,), limits)
    limit = profile.limit(f"{kind}_water_min")
    return judge_at_least(temperature, limit, "remake_warmer", "water_too_cold")


def judge_mixing_water(temperature: Temperature, profile: Profile) -> Judgement:
    """Judge water for bleach to be mixed into: hot water drives the chlorine off as gas."""
    hot = judge_at_most(
        temperature, profile.limit("chlorine_mix_water_max"), "use_cool_water", "water_too_hot"
    )
    if not hot.passed:
        return hot
    return judge_at_least(
        temperature, profile.limit("chlorine_100_water_min"), "use_warmer_water", "water_too_cold"
    )
