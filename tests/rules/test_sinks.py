"""Sinks: wash water, and what each is for."""

from __future__ import annotations

from decimal import Decimal
from typing import get_args

import pytest

from assistant.rules.basis import Temperature
from assistant.rules.profile import load_profile
from assistant.rules.sinks import Sink, SinkUse, judge_sink_use, judge_wash_water

FDA = load_profile()


def test_a_detergent_label_may_allow_cooler_water() -> None:
    """110F, or what the label says."""
    cool = Temperature(Decimal(75))
    assert judge_wash_water(Temperature(Decimal(90)), FDA).reason == "water_too_cold"
    allowed = judge_wash_water(Temperature(Decimal(90)), FDA, cool)
    assert (allowed.reason, allowed.details["label_min"]) == ("label_allows", 75)
    assert not judge_wash_water(Temperature(Decimal(74)), FDA, cool).passed
    assert judge_wash_water(Temperature(Decimal(110)), FDA, cool).reason == "in_range"


@pytest.mark.parametrize("sink", get_args(Sink))
@pytest.mark.parametrize("use", get_args(SinkUse))
def test_hands_go_to_the_hand_sink_and_nothing_else_does(sink: Sink, use: SinkUse) -> None:
    """2-301.15 and 5-205.11, for every pair; a refusal names another sink."""
    judged = judge_sink_use(sink, use)
    if "hands" in use or sink == "hand_sink":
        assert judged.passed == (use == "wash_hands" and sink == "hand_sink")
    assert judged.passed or judged.action.startswith("use_")
    assert judged.citations[0].section
