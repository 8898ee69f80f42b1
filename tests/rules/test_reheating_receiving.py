"""Reheating, deliveries, shellfish and raw fish: laws in every profile and the cases between the rows.

Sources: FDA Food Code 3-403.11, 3-202.11, 3-203.12, 3-402.11 and 3-402.12.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.rules.basis import Temperature, Verdict
from assistant.rules.food_names import find_food
from assistant.rules.foods import Food
from assistant.rules.parasites import (
    Freezing,
    freezing_needed,
    judge_freezing,
)
from assistant.rules.profile import Profile, load_profile, profile_names
from assistant.rules.receiving import (
    Delivery,
    delivery_kind,
    judge_delivery,
    judge_frozen_delivery,
    judge_signs,
)
from assistant.rules.reheating import Reheat, judge_holding_equipment, judge_reheat, reheat_kind
from assistant.rules.shellfish import tag_keep_until

MODEL = load_profile("fda_2022")
profiles = st.sampled_from([load_profile(name) for name in profile_names()])
tenths = st.decimals(-40, 220, places=1)
minutes = st.decimals(0, 300, places=0)


def food(name: str) -> Food:
    found = find_food(name)
    assert found is not None
    return found


@given(st.sampled_from(Reheat), profiles, tenths, tenths, minutes, minutes)
def test_hotter_and_faster_reheating_never_fails_where_slower_passed(
    kind: Reheat, profile: Profile, a: Decimal, b: Decimal, first: Decimal, second: Decimal
) -> None:
    """With a full hold and stand, a pass stays a pass for a hotter reading reached sooner."""
    cool, hot = sorted((a, b))
    fast, slow = sorted((first, second))
    held = Decimal(8000)

    def passed(degrees: Decimal, taken: Decimal) -> bool:
        reading = Temperature(degrees)
        return judge_reheat(kind, reading, profile, held_s=held, stand_s=held, minutes=taken).passed

    assert not passed(cool, slow) or passed(hot, fast)


@given(st.sampled_from(Delivery), profiles, tenths, tenths)
def test_deliveries_are_monotone(kind: Delivery, profile: Profile, a: Decimal, b: Decimal) -> None:
    """Colder cold food and hotter hot food never turn a pass into a refusal."""
    cool, warm = sorted((a, b))
    better, worse = (warm, cool) if kind is Delivery.HOT else (cool, warm)
    if judge_delivery(kind, Temperature(worse), profile).passed:
        assert judge_delivery(kind, Temperature(better), profile).passed


@given(st.sampled_from(Freezing), profiles, tenths, tenths, minutes, minutes)
def test_colder_and_longer_freezing_never_fails(
    way: Freezing, profile: Profile, a: Decimal, b: Decimal, first: Decimal, second: Decimal
) -> None:
    """A freezing that was enough stays enough when colder and longer."""
    cold, mild = sorted((a, b))
    short, long = sorted((first, second))
    if judge_freezing(way, short, profile, Temperature(mild)).passed:
        assert judge_freezing(way, long, profile, Temperature(cold)).passed


@pytest.mark.parametrize(
    ("kind", "held", "stand", "taken", "reason"),
    [
        (Reheat.HOUSE, 15, None, None, "time_unknown"),
        (Reheat.HOUSE, None, None, 60, "hold_unknown"),
        (Reheat.MICROWAVE, None, 119, 60, "stand_too_short"),
        (Reheat.MICROWAVE, None, None, 60, "stand_unknown"),
        (Reheat.COMMERCIAL, None, None, 60, "in_range"),
    ],
)
def test_reheating_asks_for_what_was_not_said(
    kind: Reheat, held: int | None, stand: int | None, taken: int | None, reason: str
) -> None:
    """Hold, stand and time are asked, one at a time."""
    given_numbers = [None if number is None else Decimal(number) for number in (held, stand, taken)]
    judged = judge_reheat(
        kind,
        Temperature(Decimal(170)),
        MODEL,
        held_s=given_numbers[0],
        stand_s=given_numbers[1],
        minutes=given_numbers[2],
    )
    assert judged.reason == reason


def test_unsliced_roast_by_the_table_or_as_house_food() -> None:
    """130 F for 112 minutes by the roast table; without a table 165 F as other food."""
    warm, held = Temperature(Decimal(130)), Decimal(6720)
    assert judge_reheat(Reheat.UNSLICED_ROAST, warm, MODEL, held_s=held).passed
    state = load_profile("new_york_state")
    assert judge_reheat(Reheat.UNSLICED_ROAST, warm, state, held_s=held).verdict is Verdict.FAIL


def test_makers_food_cooled_on_site_becomes_house_food() -> None:
    """First heating 135 F; after cooling in the kitchen 165 F."""
    soup = food("boil in bag soup")
    assert reheat_kind(soup) is Reheat.COMMERCIAL
    assert reheat_kind(soup, cooled_on_site=True) is Reheat.HOUSE
    assert reheat_kind(food("chili")) is Reheat.HOUSE


def test_steam_tables_do_not_reheat() -> None:
    """The stove first, then the table."""
    assert judge_holding_equipment().action == "reheat_on_stove_first"


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        ("shell eggs", Delivery.EGG_AIR),
        ("live clams", Delivery.SHELLFISH),
        ("milk", Delivery.MILK),
        ("squid", Delivery.COLD),
        ("pasteurized shell eggs", Delivery.COLD),
    ],
)
def test_what_is_measured_at_the_door(said: str, kind: Delivery) -> None:
    """Eggs by the air, live shellfish inside, everything else by the food."""
    assert delivery_kind(food(said)) is kind


def test_warm_but_lawful_milk_is_cooled_down() -> None:
    """45 F milk is taken in and brought to 41 F within 4 hours; 41 F milk needs nothing."""
    warm = judge_delivery(Delivery.MILK, Temperature(Decimal(45)), MODEL)
    assert warm.action == "cool_down"
    assert warm.details == {"hours": Decimal(4), "cool_to": Decimal(41)}
    assert judge_delivery(Delivery.MILK, Temperature(Decimal(41)), MODEL).action == ""


def test_frozen_goods_and_signs() -> None:
    """Thawed and frozen again, bulging cans: refused whatever the thermometer says."""
    assert judge_frozen_delivery(frozen_solid=True).passed
    assert not judge_frozen_delivery(frozen_solid=True, refrozen_signs=True).passed
    assert judge_signs({"bulging_can"}).details == {"signs": "bulging_can"}
    assert judge_signs(()).passed
    with pytest.raises(ValueError, match="no such sign: purple"):
        judge_signs({"purple"})


def test_tags_and_freezing_records_are_kept_90_days() -> None:
    """3-203.12, 3-402.12: counted from the day the last one was served or sold."""
    assert tag_keep_until(date(2026, 3, 1), MODEL) == date(2026, 5, 30)
    assert MODEL.value("parasite_record_days") == 90


def test_wild_salmon_is_frozen_first_in_one_of_three_ways() -> None:
    """-4 F for 168 h; -31 F then 15 h there; -31 F then 24 h at -4 F."""
    need = freezing_needed("wild salmon nigiri", farmed_statement=False)
    assert (need.frozen_first, need.reason) == (True, "wild_or_no_statement")
    hours = {Freezing.FREEZER: 168, Freezing.BLAST: 15, Freezing.BLAST_THEN_FREEZER: 24}
    for way, least in hours.items():
        coldest = Temperature(Decimal(-4 if way is Freezing.FREEZER else -31))
        assert judge_freezing(way, Decimal(least), MODEL, coldest).passed
        assert judge_freezing(way, Decimal(least - 1), MODEL, coldest).reason == "too_short"
        warmer = Temperature(coldest.value + 1)
        assert judge_freezing(way, Decimal(least), MODEL, warmer).reason == "not_cold_enough"


def test_unknown_fish_asks_for_species_and_letter() -> None:
    """No proof: frozen first, and what would settle it."""
    need = freezing_needed("tuna")
    assert (need.frozen_first, need.ask) == (True, "species_and_supplier_letter")
    assert freezing_needed("fried roebuck trout").frozen_first
