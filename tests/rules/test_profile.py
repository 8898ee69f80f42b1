"""A profile: figures by key, a site's own over them, and what is said of names that no table holds."""

from dataclasses import replace
from decimal import Decimal

import pytest

from assistant.rules.profile import UnknownLimitError, UnknownProfileError, load_profile, profile_names

COLD = "cold_holding_max"


def test_every_profile_loads_with_every_figure_of_the_default():
    """What a jurisdiction does not say itself it takes from the one that it is based on."""
    keys = set(load_profile().limits)
    assert all(keys <= set(load_profile(name).limits) for name in profile_names())


def test_a_sites_own_figure_replaces_the_tables():
    """The table itself stays as it was."""
    usual = load_profile()
    own = replace(usual.limit(COLD), value=Decimal(38))
    changed = usual.with_overrides([own])
    assert changed.limit(COLD) == own
    assert usual.limit(COLD) != own


def test_a_figure_in_another_unit_is_refused():
    """A limit is compared in the unit in which it is written."""
    usual = load_profile()
    with pytest.raises(UnknownLimitError, match="is written in"):
        usual.with_overrides([replace(usual.limit(COLD), unit="ppm")])


def test_unknown_names_are_said_with_what_exists():
    """A key that no table holds, and a jurisdiction that nobody wrote down."""
    with pytest.raises(UnknownLimitError, match="no table holds the limit 'moon'"):
        load_profile().limit("moon")
    with pytest.raises(UnknownProfileError, match="choose one of: "):
        load_profile("moon")
