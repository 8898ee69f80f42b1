"""Mixing sanitizers: the arithmetic, the advice within label and law, and bad amounts refused."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.rules.basis import Verdict
from assistant.rules.dilution import (
    MixError,
    concentrate_for,
    judge_mix,
    mix_for,
    nominal_ppm,
    ratio_fluid_ounces_per_gallon,
    usual_target,
)
from assistant.rules.product import Product, SanitizerKind
from assistant.rules.profile import load_profile, profile_names
from assistant.rules.sanitizer import strength_range
from assistant.rules.units import volume_ml

FDA = load_profile()
GALLON = volume_ml(1, "gallon")
percents = st.decimals(min_value="0.5", max_value="50", places=2)
targets = st.decimals(min_value=1, max_value=2000, places=1)
waters = st.fractions(min_value=200, max_value=100_000, max_denominator=10)
kinds: st.SearchStrategy[SanitizerKind] = st.sampled_from(["chlorine", "quat", "iodine"])


@st.composite
def products(draw: st.DrawFn) -> Product:
    """A label of any kind with any range, sensible or not."""
    kind: SanitizerKind = draw(kinds)
    low, width = draw(st.decimals(1, 500, places=1)), draw(st.decimals(0, 300, places=1))
    return Product("any", kind, low, low + width)


@given(products(), percents, targets, waters, st.sampled_from(profile_names()))
def test_no_answer_passes_the_label_or_the_law(
    product: Product, percent: Decimal, target: Decimal, water: Fraction, name: str
) -> None:
    """Whatever is asked, exact amount, household and metric measure keep under both tops."""
    profile = load_profile(name)
    try:
        mix = mix_for(product.kind, percent, water, profile, product, target)
    except MixError:
        return
    assert product.label_max_ppm is not None
    top = min(product.label_max_ppm, profile.value(f"{product.kind}_no_rinse_max"))
    assert mix.top_ppm == top
    assert mix.target_ppm <= top
    strengths = (
        nominal_ppm(percent, mix.concentrate_ml, water),
        mix.household_ppm,
        mix.metric_ppm,
    )
    assert all(ppm is None or ppm <= top for ppm in strengths)
    assert mix.lowered == (target > top)


@given(percents, targets, waters)
def test_mixing_then_measuring_agrees(percent: Decimal, target: Decimal, water: Fraction) -> None:
    """The amount for a target gives that target."""
    assume(target < percent * 10_000)
    poured = concentrate_for(percent, target, water)
    assert nominal_ppm(percent, poured, water) == target


@given(percents, waters, waters)
def test_more_concentrate_is_stronger(percent: Decimal, one: Fraction, other: Fraction) -> None:
    """The strength rises with what is poured in."""
    assume(one < other)
    assert nominal_ppm(percent, one, Fraction(5000)) < nominal_ppm(percent, other, Fraction(5000))


def test_household_bleach_in_a_gallon_is_a_teaspoon() -> None:
    """8.25 percent bleach at 100 ppm: one teaspoon a gallon, as a state memo prints."""
    mix = mix_for("chlorine", Decimal("8.25"), GALLON, FDA)
    assert mix.household is not None
    assert mix.household.parts == ((1, "teaspoon"),)
    assert 100 <= (mix.household_ppm or 0) <= 200
    assert {"never_mix", "follow_label", "cool_water"} <= set(mix.cautions)


def test_measures_of_bleach_do_not_fall_under_a_hundred() -> None:
    """Under 100 ppm would need water of 75F, so the measure is taken above, not below."""
    mix = mix_for("chlorine", Decimal(6), GALLON, FDA)
    assert mix.household_ppm is not None
    assert mix.household_ppm >= 100
    assert mix.metric_ppm is not None
    assert mix.metric_ppm >= 100


def test_asked_for_less_than_a_hundred_it_keeps_to_the_code() -> None:
    """A target of 50 ppm is allowed; one of 20 is raised to the least strength."""
    assert mix_for("chlorine", Decimal(6), GALLON, FDA, target_ppm=Decimal(50)).target_ppm == 50
    assert mix_for("chlorine", Decimal(6), GALLON, FDA, target_ppm=Decimal(20)).target_ppm == 50


def test_too_much_is_lowered_and_said() -> None:
    """A disinfecting strength is brought down to the no-rinse top."""
    mix = mix_for("chlorine", Decimal("8.25"), GALLON, FDA, target_ppm=Decimal(1000))
    assert mix.lowered
    assert mix.target_ppm == mix.top_ppm == 200


def test_a_thimble_of_water_has_no_measure() -> None:
    """Where no spoon or step keeps within the range, none is given."""
    mix = mix_for("chlorine", Decimal(12), Fraction(20), FDA)
    assert (mix.household, mix.metric_ml, mix.household_ppm, mix.metric_ppm) == (None,) * 4


def test_quat_without_a_label_is_refused() -> None:
    """No label, no recipe."""
    with pytest.raises(MixError, match="read the label first"):
        mix_for("quat", Decimal(10), GALLON, FDA)


def test_a_label_over_the_law_is_refused() -> None:
    """A label range that begins above the legal top is a mistake to check."""
    with pytest.raises(MixError, match="the law stops at 200"):
        mix_for("chlorine", Decimal(6), GALLON, FDA, Product("odd", "chlorine", Decimal(300), Decimal(400)))


@pytest.mark.parametrize(
    ("percent", "target", "water", "words"),
    [
        (Decimal(0), 100, GALLON, "the percent has to be above 0"),
        (Decimal(101), 100, GALLON, "at most 100, not 101"),
        (Decimal(6), 0, GALLON, "the target ppm has to be more than nothing"),
        (Decimal(6), 100, Fraction(0), "the water has to be more than nothing"),
        (Decimal("0.005"), 100, GALLON, "cannot give 100 ppm"),
    ],
)
def test_impossible_amounts_say_what_is_wrong(
    percent: Decimal, target: int, water: Fraction, words: str
) -> None:
    """One clear sentence for each kind of nonsense."""
    with pytest.raises(MixError, match=words):
        concentrate_for(percent, target, water)


def test_a_ratio_of_nothing_is_refused() -> None:
    """1:0 is no dilution."""
    with pytest.raises(MixError):
        ratio_fluid_ounces_per_gallon(0)


def test_the_usual_target_is_the_middle_where_a_hundred_does_not_fit() -> None:
    """Quat aims at the middle of its label, chlorine at 100 or the middle of an odd label."""
    quat = Product("q", "quat", Decimal(200), Decimal(400))
    assert usual_target("quat", strength_range("quat", FDA, quat)) == 300
    strong = Product("c", "chlorine", Decimal(120), Decimal(200))
    assert usual_target("chlorine", strength_range("chlorine", FDA, strong)) == 160
    assert usual_target("quat", strength_range("quat", FDA)) == 200


def test_a_mix_is_judged_by_its_nominal_strength() -> None:
    """Too weak, right, too strong, and a quat nobody knows the label of."""
    spoon = volume_ml(1, "teaspoon")
    judged = judge_mix("chlorine", Decimal("8.25"), spoon, GALLON, FDA)
    assert judged.passed
    assert judged.action == "test_with_strip"
    assert judged.details["nominal_ppm"] == Decimal("107.3")
    assert judge_mix("chlorine", Decimal("2.75"), spoon, GALLON, FDA).reason == "too_low"
    assert judge_mix("chlorine", Decimal("8.25"), 3 * spoon, GALLON, FDA).reason == "too_high"
    unknown = judge_mix("quat", Decimal(10), spoon, GALLON, FDA)
    assert (unknown.verdict, unknown.action) == (Verdict.CANNOT_JUDGE, "ask_label")
