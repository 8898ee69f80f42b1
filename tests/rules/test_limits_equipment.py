"""The limit tables: complete, tidy, honest about what was not read; local and strictest figures."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.rules.basis import Citation, Limit, Temperature
from assistant.rules.compare import limit_unit
from assistant.rules.profile import load_profile, profile_names
from assistant.rules.tables import read_table

TABLES = (
    "cold_holding",
    "contact_time",
    "cooling",
    "date_marking",
    "hands_and_utensils",
    "hot_holding",
    "rescue",
    "sanitizer",
    "thermometers",
    "time_control",
    "warewashing",
)


@pytest.mark.parametrize("table", TABLES)
def test_every_line_is_tidy(table: str) -> None:
    """Known profile and flag, a number, a source and section, and a default for each key."""
    lines = read_table(f"limits/{table}")
    for line in lines:
        assert line["profile"] in profile_names()
        assert line["flag"] in ("READ", "MEMORY", "PRACTICE")
        assert line["document"]
        assert line["section"]
        assert line["assumed"] in ("yes", "no")
        assert line["assumed"] == "no" or line["note"]
        assert Decimal(line["value"]).is_finite()
    assert {line["key"] for line in lines} == {line["key"] for line in lines if line["profile"] == "fda_2022"}
    assert len({(line["key"], line["profile"]) for line in lines}) == len(lines)


@pytest.mark.parametrize("name", profile_names())
def test_a_stand_in_is_never_laxer_than_the_default(name: str) -> None:
    """Where a text was not read, the figure that stands in is at least as strict as the model code's."""
    profile, default = load_profile(name), load_profile()
    for limit in profile.limits.values():
        if not limit.assumed or limit.key not in {
            r["key"] for t in TABLES for r in read_table(f"limits/{t}")
        }:
            continue
        ours, theirs = (
            Temperature(each.value, "C").in_unit("F") if each.unit == "C" else each.value
            for each in (limit, default.limit(limit.key))
        )
        if limit.key.endswith("_max"):
            assert ours <= theirs, limit.key
        elif limit.key.endswith("_min"):
            assert ours >= theirs, limit.key


def test_a_limit_in_seconds_is_no_temperature() -> None:
    """Comparing a temperature with it is a mistake in the program, and says which."""
    with pytest.raises(ValueError, match="'hand_wash_min' is in seconds"):
        limit_unit(Limit("hand_wash_min", Decimal(20), "seconds", Citation("any", "any")))
