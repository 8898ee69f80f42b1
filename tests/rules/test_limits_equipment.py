"""The limit tables: complete, tidy, honest about what was not read; local and strictest figures."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.rules.basis import Citation, Limit, Temperature
from assistant.rules.compare import limit_unit
from assistant.rules.local import UnknownPlaceError, local_figures, places
from assistant.rules.profile import load_profile, profile_names
from assistant.rules.strictest import load_strictest
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


def test_the_strictest_profile_is_no_laxer_than_any() -> None:
    """Whatever passes it passes in every United States profile, figure by figure."""
    strict = load_strictest()
    for name in profile_names():
        profile = load_profile(name)
        if profile.unit == "C":
            continue
        for key in strict.limits:
            limit = profile.limit(key)
            if key.endswith("_max"):
                assert strict.value(key) <= limit.value
            elif key.endswith("_min"):
                assert strict.value(key) >= limit.value
    assert (strict.value("time_control_hours_max"), strict.value("hot_holding_min")) == (2, 140)
    assert "Unknown place" in strict.title


def test_local_figures_lay_over_a_profile() -> None:
    """Each place's keys exist, and its citation names the place."""
    for place in places():
        profile = load_profile().with_overrides(local_figures(place))
        for figure in local_figures(place):
            assert profile.limit(figure.key).citation.profile == place
    with pytest.raises(UnknownPlaceError, match="no local figures for 'atlantis'"):
        local_figures("atlantis")


def test_a_limit_in_seconds_is_no_temperature() -> None:
    """Comparing a temperature with it is a mistake in the program, and says which."""
    with pytest.raises(ValueError, match="'hand_wash_min' is in seconds"):
        limit_unit(Limit("hand_wash_min", Decimal(20), "seconds", Citation("any", "any")))
