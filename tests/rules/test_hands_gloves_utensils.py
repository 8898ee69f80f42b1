"""Hands, gloves and in-use utensils."""

from __future__ import annotations

from decimal import Decimal
from typing import get_args

import pytest

from assistant.rules.basis import Temperature
from assistant.rules.gloves import Cover, judge_glove_change, judge_glove_material, judge_touch
from assistant.rules.hands import (
    UnknownHandRuleError,
    hand_rules,
    judge_hand_wash,
    judge_instead_of_washing,
    must_wash,
)
from assistant.rules.profile import load_profile
from assistant.rules.utensils import Rest, judge_utensil_rest

FDA = load_profile()


@pytest.mark.parametrize("act", sorted(set(hand_rules("hand_wash_acts")) - {"washed"}))
def test_nothing_replaces_washing(act: str) -> None:
    """Gel, dip, towel, gloves: none of them after raw food."""
    judged = judge_instead_of_washing(act)
    assert (judged.passed, judged.action) == (False, "wash_hands")


def test_an_unknown_event_lists_those_that_exist() -> None:
    """The message helps."""
    with pytest.raises(
        UnknownHandRuleError, match="'sang' is not in hand_wash_events; it holds: before_food"
    ):
        must_wash("sang")


def test_a_wash_needs_a_time() -> None:
    """Neither whole nor rubbing time said: refused."""
    with pytest.raises(ValueError, match="how long"):
        judge_hand_wash(FDA)
    assert judge_hand_wash(FDA, Decimal(20), Decimal(9)).reason == "rub_too_short"
    assert judge_hand_wash(FDA, Decimal(20), Decimal(10)).passed


@pytest.mark.parametrize("cover", get_args(Cover))
def test_ready_to_eat_food_is_never_touched_bare(cover: Cover) -> None:
    """3-301.11; raw food to be cooked and produce being washed may be."""
    assert judge_touch("ready_to_eat", cover).passed == (cover != "bare")
    assert judge_touch("raw_to_be_cooked", cover).passed
    assert judge_touch("washing_produce", cover).passed
    assert judge_touch("ready_to_eat", "bare", susceptible_guests=True).details["guests"] == "susceptible"


def test_gloves_change_with_the_task_and_hands_are_washed() -> None:
    """Raw to ready-to-eat: wash, then new gloves. A fresh pair for the same clean task needs no wash."""
    assert judge_glove_change("raw_to_ready_to_eat").action == "wash_hands_new_gloves"
    assert judge_glove_change("fresh_pair_same_task").action == "new_gloves"
    assert judge_glove_change("same_task_not_contaminated").passed
    with pytest.raises(LookupError, match="no glove rule for 'karaoke'"):
        judge_glove_change("karaoke")


def test_latex_is_barred_in_some_places() -> None:
    """Washington bars it, the model text leaves it open."""
    assert judge_glove_material("latex", load_profile("washington")).reason == "latex_barred"
    assert judge_glove_material("latex", FDA).reason == "latex_discouraged"
    assert judge_glove_material("nitrile", FDA).passed


@pytest.mark.parametrize("rest", get_args(Rest))
def test_where_an_in_use_utensil_may_rest(rest: Rest) -> None:
    """3-304.12, for food that is TCS; a dry clean place is enough for food that is not."""
    allowed = {"in_food_handle_out", "clean_surface", "running_water", "closed_dry_bin"}
    assert judge_utensil_rest(rest, FDA).passed == (rest in allowed)
    assert judge_utensil_rest("clean_dry_place", FDA, tcs=False).passed


def test_standing_water_is_hot_or_cold() -> None:
    """135F or hotter, or 41F or colder, nothing between."""
    for degrees, reason in ((135, "water_hot"), (41, "water_cold"), (100, "water_lukewarm")):
        assert judge_utensil_rest("standing_water", FDA, Temperature(Decimal(degrees))).reason == reason
