"""Strength, water and pH of one place in one breath are judged together, and nothing else is."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from assistant.dialogue.judge import judge_all, judge_reading, strength_of
from assistant.rules.basis import Verdict
from assistant.rules.product import Between
from assistant.site import load_site
from intents.readings import Reading

SITE = load_site()
STRENGTHS = st.integers(0, 400).map(Decimal)
WATERS = st.integers(33, 130).map(Decimal)


def _ppm(value: Decimal, place: str = "chlorine bucket") -> Reading:
    return Reading(place, "equipment", value, "ppm", "ppm")


def _water(value: Decimal, place: str = "chlorine bucket") -> Reading:
    return Reading(place, "equipment", value, "temperature", "F")


@given(STRENGTHS, WATERS, WATERS)
def test_warmer_water_never_makes_a_solution_worse(ppm: Decimal, one: Decimal, other: Decimal) -> None:
    """A chlorine solution that passes in cooler water passes in warmer water too (4-501.114)."""
    cold, warm = sorted((one, other))
    passes = [
        all(item.judgement.passed for item in judge_all((_ppm(ppm), _water(water)), SITE))
        for water in (cold, warm)
    ]
    assert passes[1] or not passes[0]


@given(STRENGTHS, WATERS)
def test_every_reading_of_a_breath_is_judged_once(ppm: Decimal, water: Decimal) -> None:
    """Nothing said is lost, and at least one line is spoken."""
    readings = (_ppm(ppm), _water(water), _water(Decimal(38), "walk-in"))
    items = judge_all(readings, SITE)
    assert sorted(str(item.reading) for item in items) == sorted(map(str, readings))
    assert any(item.spoken for item in items)


@given(STRENGTHS)
def test_two_places_do_not_mix(ppm: Decimal) -> None:
    """The water of one bucket says nothing about another."""
    apart = judge_all((_ppm(ppm, "quat bucket 1"), _water(Decimal(50), "quat bucket 2")), SITE)
    assert apart[0] == judge_reading(_ppm(ppm, "quat bucket 1"), SITE)


@given(st.integers(1, 500).map(Decimal))
def test_a_strip_past_a_block_is_never_better_than_the_block(ppm: Decimal) -> None:
    """Over a number passes only where the number itself is in range or weak."""
    over = judge_reading(Reading("quat bucket", "equipment", ppm, "ppm", "ppm", bound="over"), SITE)
    if ppm >= 400:
        assert over.judgement.verdict is Verdict.FAIL
    else:
        assert over.judgement.verdict is Verdict.CANNOT_JUDGE


def test_bounds_are_intervals() -> None:
    """Over, under and between keep what the colour allows."""
    assert isinstance(
        strength_of(Reading("b", "equipment", Decimal(50), "ppm", "ppm", bound="over")), Between
    )
    under = strength_of(Reading("b", "equipment", Decimal(50), "ppm", "ppm", bound="under"))
    assert isinstance(under, Between)
    assert under.low == 0
    assert under.high < 50
    between = Reading("b", "equipment", Decimal(50), "ppm", "ppm", bound="between", upper=Decimal(100))
    assert strength_of(between) == Between(Decimal(50), Decimal(100))
