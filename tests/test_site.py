"""What a site file may say of its places; the kitchens are invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.rules.dish_machine import dish_machines
from assistant.site import SiteFileError, load_site, parse_site

MACHINE = '[[equipment]]\nid = "dish"\nname = "dish"\nkind = "dish_machine_hot"\nmachine = "{}"\n'
KITCHENS = Path(__file__).parent / "dialogue" / "kitchens"
PLACE = '[[equipment]]\nid = "{id}"\nname = "{name}"\nkind = "{kind}"\n'


def test_an_unknown_dish_machine_is_refused_when_the_file_is_read() -> None:
    """In one sentence that lists every kind of machine there is."""
    with pytest.raises(SiteFileError) as fault:
        parse_site(MACHINE.format("nonsense"), "kitchen.toml")
    assert "machine 'nonsense' is not known" in str(fault.value)
    assert all(name in str(fault.value) for name in dish_machines())
    assert str(fault.value).count("\n") == 0


@pytest.mark.parametrize("name", dish_machines())
def test_every_dish_machine_of_the_rules_may_be_written(name: str) -> None:
    """The table of the rules is the list of what is known."""
    assert parse_site(MACHINE.format(name), "kitchen.toml").equipment[0].machine == name


def test_places_that_differ_in_their_number_are_one_with_numbers() -> None:
    """Every id and every name said back stays as it is written in the file."""
    site = load_site(KITCHENS / "canteen.toml")
    numbers = {item.id: item.numbers for item in site.places}
    assert numbers["deep freezer"] == numbers["hot cupboard"] == numbers["pail"] == (1, 2)
    assert numbers["meat fridge"] == ()
    assert site.spoken_name("pail 2") == "pail two"
    assert site.kind_of("pail") == site.kind_of("pail 1") == "sanitizer_bucket"
    assert len(site.equipment) == 9


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ({"name": "well one", "kind": "hot_holding"}, {"name": "well two", "kind": "cold_holding"}),
        ({"name": "well one", "kind": "hot_holding"}, {"name": "tub two", "kind": "hot_holding"}),
        ({"name": "well one", "kind": "hot_holding"}, {"name": "well three", "kind": "hot_holding"}),
    ],
)
def test_places_that_differ_in_more_stay_apart(first: dict[str, str], second: dict[str, str]) -> None:
    """Another kind, another name, or a number that is not that of the id."""
    text = PLACE.format(id="well 1", **first) + PLACE.format(id="well 2", **second)
    assert [item.id for item in parse_site(text, "kitchen.toml").places] == ["well 1", "well 2"]
