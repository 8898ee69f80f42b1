"""Sanitizer readings against label and code: ranges, water, pH, hardness and strips between blocks."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.rules.basis import Judgement, Temperature, Verdict
from assistant.rules.product import Between, Product
from assistant.rules.profile import Profile, load_profile, profile_names
from assistant.rules.sanitizer import (
    judge_chlorine,
    judge_iodine,
    judge_quat,
    strength_range,
)

Water = Temperature | None
Acidity = Decimal | None
FDA = load_profile()
QUAT = Product("kitchen quat", "quat", Decimal(200), Decimal(400), label="200 to 400 ppm")
strengths = st.decimals(min_value=0, max_value=600, places=1)
waters = st.one_of(st.none(), st.decimals(min_value=32, max_value=140, places=1).map(Temperature))
acidities = st.one_of(st.none(), st.decimals(min_value=3, max_value=12, places=1))
profiles = st.sampled_from([load_profile(name) for name in profile_names()])
ORDER = [Verdict.FAIL, Verdict.CANNOT_JUDGE, Verdict.PASS]


def rank(judgement: Judgement) -> int:
    return ORDER.index(judgement.verdict)


@given(strengths, strengths, waters, acidities, profiles)
def test_stronger_up_to_the_cap_is_never_worse(
    one: Decimal, other: Decimal, water: Water, ph: Acidity, profile: Profile
) -> None:
    """Chlorine verdicts rise with the strength until the ceiling, and fail above it."""
    low, high = sorted((one, other))
    cap = profile.value("chlorine_no_rinse_max")
    stronger = judge_chlorine(high, water, ph, profile)
    if high > cap:
        assert stronger.reason == "too_high"
    else:
        assert rank(judge_chlorine(low, water, ph, profile)) <= rank(stronger)


@given(strengths, waters, waters, acidities, profiles)
def test_warmer_water_is_never_worse(
    ppm: Decimal, one: Water, other: Water, ph: Acidity, profile: Profile
) -> None:
    """At one strength, warmer water never turns a better verdict into a worse one."""
    if one is None or other is None:
        return
    cold, warm = sorted((one, other), key=lambda water: water.value)
    for judge in (judge_chlorine, judge_iodine):
        assert rank(judge(ppm, cold, ph, profile)) <= rank(judge(ppm, warm, ph, profile))
    assert rank(judge_quat(ppm, cold, profile, QUAT)) <= rank(judge_quat(ppm, warm, profile, QUAT))


@given(strengths, waters, acidities, acidities, profiles)
def test_a_lower_ph_is_never_worse(
    ppm: Decimal, water: Water, one: Acidity, other: Acidity, profile: Profile
) -> None:
    """At one strength, a lower pH never fails where a higher one passes."""
    if one is None or other is None:
        return
    low, high = sorted((one, other))
    for judge in (judge_chlorine, judge_iodine):
        assert rank(judge(ppm, water, high, profile)) <= rank(judge(ppm, water, low, profile))


@given(strengths, strengths, strengths, waters, acidities, profiles)
def test_an_interval_passes_only_if_all_of_it_does(
    one: Decimal, other: Decimal, inside: Decimal, water: Water, ph: Acidity, profile: Profile
) -> None:
    """Between two blocks the verdict is certain for every strength in between, or open."""
    low, middle, high = sorted((one, other, inside))
    verdict = judge_chlorine(Between(low, high), water, ph, profile).verdict
    if verdict is not Verdict.CANNOT_JUDGE:
        assert judge_chlorine(middle, water, ph, profile).verdict is verdict


@given(strengths, st.decimals(min_value=0, max_value=60, places=1), acidities, profiles)
def test_celsius_and_fahrenheit_agree_about_the_same_water(
    ppm: Decimal, celsius: Decimal, ph: Acidity, profile: Profile
) -> None:
    """The same water read in either unit gets the same judgement."""
    in_c = Temperature(celsius, "C")
    in_f = Temperature(celsius * 9 / 5 + 32, "F")
    assert judge_chlorine(ppm, in_c, ph, profile) == judge_chlorine(ppm, in_f, ph, profile)
    assert judge_iodine(ppm, in_c, ph, profile) == judge_iodine(ppm, in_f, ph, profile)
    assert judge_quat(ppm, in_c, profile, QUAT) == judge_quat(ppm, in_f, profile, QUAT)


def test_what_was_not_said_is_said() -> None:
    """A pass without temperature and pH names both in the details."""
    judged = judge_chlorine(Decimal(100), None, None, FDA)
    assert judged.passed
    assert (judged.details["temperature"], judged.details["ph"]) == ("not said", "not said")
    quat = judge_quat(Decimal(200), None, FDA, QUAT)
    assert (quat.details["temperature"], quat.details["hardness"]) == ("not said", "not said")
    assert judge_iodine(Decimal(20), None, None, FDA).details["ph"] == "not said"


def test_the_label_is_cited_first() -> None:
    """A product's own label leads the sources."""
    assert judge_quat(Decimal(300), None, FDA, QUAT).citations[0].document == "label of kitchen quat"


def test_what_decided_is_cited_first() -> None:
    """The label allows 150, the California Retail Food Code, 114099.6(b)(3), asks for 200 (READ)."""
    weak_label = Product("kitchen quat", "quat", Decimal(150), Decimal(500), label="150 to 500 ppm")
    california = load_profile("california")
    by_law = judge_quat(Decimal(160), None, california, weak_label)
    assert by_law.citations[0].section == "114099.6(b)(3)"
    assert by_law.details["law"] == "California Retail Food Code"
    assert judge_quat(Decimal(250), None, california, weak_label).citations[0] == weak_label.citation
    by_ceiling = judge_quat(Decimal(450), None, FDA, weak_label)  # 40 CFR 180.940(a), from memory
    assert by_ceiling.citations[0].document == by_ceiling.details["law"] == "40 CFR"
    for ppm in (Decimal(150), Decimal(410)):  # the label asks for 200 to 400, the codes for no more
        by_label = judge_quat(ppm, None, california, QUAT)
        assert by_label.citations[0] == QUAT.citation
        assert "law" not in by_label.details


def test_water_too_cold_for_the_label_cites_the_label() -> None:
    """75F is the code's least for quats (4-501.114(C)); this label asks for more."""
    warm = Product("kitchen quat", "quat", Decimal(200), Decimal(400), water_min=Temperature(Decimal(90)))
    judged = judge_quat(Decimal(250), Temperature(Decimal(80)), FDA, warm)
    assert (judged.reason, judged.citations[0]) == ("water_too_cold", warm.citation)
    plain = judge_quat(Decimal(250), Temperature(Decimal(70)), FDA, QUAT)
    assert plain.citations[0].document.startswith("FDA Food Code")


def test_the_label_cannot_raise_the_legal_top() -> None:
    """A label of 500 for chlorine still stops at 200; a label of 150 stops there."""
    wide = Product("c", "chlorine", Decimal(50), Decimal(500))
    assert strength_range("chlorine", FDA, wide).high == 200
    narrow = Product("c", "chlorine", Decimal(100), Decimal(150))
    assert judge_chlorine(Decimal(175), None, None, FDA, narrow).reason == "too_high"


def test_a_label_without_figures_leaves_the_code() -> None:
    """A product known only by kind is judged by the code's own range."""
    bare = Product("c", "chlorine")
    allowed = strength_range("chlorine", FDA, bare)
    assert (allowed.low, allowed.high) == (50, 200)


def test_quat_without_a_label_cannot_be_judged() -> None:
    """The label decides; only more than every ceiling, or nothing at all, fails without one."""
    judged = judge_quat(Decimal(200), None, FDA)
    assert (judged.verdict, judged.action) == (Verdict.CANNOT_JUDGE, "ask_label")
    assert judge_quat(Decimal(500), None, FDA).reason == "too_high"
    assert judge_quat(Decimal(0), None, FDA).reason == "too_low"


def test_a_product_of_another_kind_is_refused() -> None:
    """Quat is never judged as chlorine."""
    with pytest.raises(ValueError, match="is quat, not chlorine"):
        judge_chlorine(Decimal(100), None, None, FDA, QUAT)


def test_the_label_may_name_another_water_temperature() -> None:
    """Quat and iodine follow the label; chlorine takes the warmer of label and code."""
    cool = Product("q", "quat", Decimal(200), Decimal(400), water_min=Temperature(Decimal(65)))
    assert judge_quat(Decimal(300), Temperature(Decimal(65)), FDA, cool).passed
    assert judge_quat(Decimal(300), Temperature(Decimal(64)), FDA, cool).reason == "water_too_cold"
    warm = Product("c", "chlorine", Decimal(50), Decimal(200), water_min=Temperature(Decimal(70)))
    assert (
        judge_chlorine(Decimal(100), Temperature(Decimal(69)), Decimal(7), FDA, warm).reason
        == "water_too_cold"
    )
    assert judge_chlorine(Decimal(100), Temperature(Decimal(70)), Decimal(7), FDA, warm).passed
    tepid = Product("c", "chlorine", Decimal(50), Decimal(200), water_min=Temperature(Decimal(40)))
    assert (
        judge_chlorine(Decimal(100), Temperature(Decimal(50)), Decimal(7), FDA, tepid).reason
        == "water_too_cold"
    )


def test_the_label_may_name_another_hardness_and_ph() -> None:
    """Hardness and pH limits of the label replace the code's."""
    hard = Product("q", "quat", Decimal(200), Decimal(400), hardness_max=Decimal(750))
    assert judge_quat(Decimal(300), None, FDA, hard, Decimal(700)).passed
    assert judge_quat(Decimal(300), None, FDA, QUAT, Decimal(700)).reason == "water_too_hard"
    mild = Product("i", "iodine", Decimal(13), Decimal(25), ph_max=Decimal(8))
    assert judge_iodine(Decimal(20), None, Decimal(7), FDA, mild).passed


def test_unknown_ph_asks_only_where_it_matters() -> None:
    """75 ppm at 78F depends on the pH; at 60F it fails whatever the pH."""
    judged = judge_chlorine(Decimal(75), Temperature(Decimal(78)), None, FDA)
    assert (judged.verdict, judged.action) == (Verdict.CANNOT_JUDGE, "raise_strength")
    assert judge_chlorine(Decimal(75), Temperature(Decimal(60)), None, FDA).reason == "water_too_cold"


def test_an_interval_that_straddles_is_tested_again() -> None:
    """Between 150 and 300 for a label of 200 to 400 nobody knows."""
    judged = judge_quat(Between(Decimal(150), Decimal(300)), None, FDA, QUAT)
    assert (judged.verdict, judged.reason, judged.action) == (
        Verdict.CANNOT_JUDGE,
        "between_blocks",
        "retest",
    )
    assert judge_quat(Between(Decimal(200), Decimal(300)), None, FDA, QUAT).passed
    assert judge_quat(Between(Decimal(100), Decimal(150)), None, FDA, QUAT).reason == "too_low"


def test_weak_and_cold_at_both_ends_fails() -> None:
    """Too weak at one block and too cold at the other is a fail, not a question."""
    water = Temperature(Decimal(60))
    assert judge_chlorine(Between(Decimal(20), Decimal(75)), water, Decimal(7), FDA).verdict is Verdict.FAIL


def test_a_profile_that_was_not_read_says_so() -> None:
    """Figures that stand in for unread text are named in the details."""
    uk = load_profile("united_kingdom")
    assert "chlorine" in str(
        judge_chlorine(Decimal(100), Temperature(Decimal(20), "C"), Decimal(7), uk).details["assumed"]
    )


def test_blocks_in_the_wrong_order_are_refused() -> None:
    """An interval has its lower end first."""
    with pytest.raises(ValueError, match="above the upper block"):
        Between(Decimal(200), Decimal(100))


def test_too_cold_chlorine_is_mended_by_strength_before_heat() -> None:
    """70F water: 78 ppm is too weak for it, 100 is enough; 50F water has to be warmer."""
    tepid = judge_chlorine(Decimal(78), Temperature(Decimal(70)), Decimal(8), FDA)
    assert (tepid.reason, tepid.action, tepid.details["enough_ppm"]) == (
        "water_too_cold",
        "raise_strength",
        100,
    )
    cold = judge_chlorine(Decimal(78), Temperature(Decimal(50)), Decimal(8), FDA)
    assert (cold.reason, cold.action) == ("water_too_cold", "remake_warmer")
