"""A name that the ears do not know is named, with what to write; what is plain is not asked about."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from assistant.dialogue.conversation import interpreter_for
from assistant.door import kitchen, options_first
from assistant.hear_check.own_names import advice, doubtful, own_names, tried
from assistant.site import Site, load_site, parse_site
from intents.hypotheses import Hypotheses

TEXT = """
[[people]]
name = "Odalys"
[[equipment]]
id = "walk-in"
name = "walk-in"
kind = "cold_holding"
[[equipment]]
id = "trolley"
name = "trolley"
kind = "cold_holding"
numbers = [1, 2]
[[rounds]]
id = "dawn"
name = "dawn patrol"
places = ["walk-in"]
[menu]
"pho tai" = "beef"
"""
KNOWN = {"walk", "in", "trolley", "dawn", "patrol", "mold", "release", "tie"}
KITCHENS = Path(__file__).parents[1] / "dialogue" / "kitchens"


@pytest.fixture(scope="module")
def own_site() -> Site:
    """An invented kitchen with a name of each kind."""
    return parse_site(TEXT, "x")


def test_who_and_what_has_to_be_said_aloud(own_site: Site) -> None:
    """People always, else what has a word that the ears were not made with."""
    assert [own.name for own in own_names(own_site) if doubtful(own, KNOWN)] == ["Odalys", "pho tai"]


@pytest.mark.parametrize(
    ("name", "heard", "fix"),
    [
        ("Odalys", "this is odalys", ""),
        ("Odalys", "this is oh dollies", 'add the spelling that was heard: also = ["oh dollies"]'),
        ("Odalys", "this is mold release", "add a short name that is said as it is written: also = ["),
        ("Odalys", "", "add a short name"),
        ("walk-in", "walk in forty one", ""),
        ("walk-in", "work in forty one", "[[equipment]]"),
        ("trolley", "trolley two forty one", ""),
        ("trolley", "troll lee forty one", 'also = ["troll lee"]'),
        ("dawn patrol", "start the dawn patrol", ""),
        ("dawn patrol", "start the don patrol", 'also = ["don patrol"]'),
        ("pho tai", "where does the pho tai go", ""),
        ("pho tai", "where does the faux tie go", '"faux tie" = "beef"'),
    ],
)  # fmt: skip
def test_each_kind_of_name_is_known_or_gets_its_advice(
    own_site: Site, name: str, heard: str, fix: str
) -> None:
    """By what was heard; a spelling out of words that mean something of their own is never proposed."""
    (own,) = [each for each in own_names(own_site) if each.name == name]
    one = tried(own, lambda _: [Hypotheses.typed(heard)], interpreter_for(own_site))
    assert bool(one.heard) == bool(fix), one
    if fix:
        assert fix in advice(one, KNOWN)


@pytest.mark.parametrize("path", [None, *sorted(KITCHENS.glob("*.toml"))], ids=str)
def test_every_name_of_the_kitchens_here_is_understood_as_written(path: Path | None) -> None:
    """The example's and the tests' own: typed, each means what it stands for."""
    site = load_site(path)
    interpreter = interpreter_for(site)
    lost = [own.name for own in own_names(site)
            if tried(own, lambda said: [Hypotheses.typed(said)], interpreter).heard]  # fmt: skip
    assert lost == []


@pytest.mark.sound
def test_it_is_tried_in_the_programs_own_voice(tmp_path: Path) -> None:
    """Through voice and recogniser: a name spelled as in no other language is told, with how it was heard."""
    path = tmp_path / "site.toml"
    path.write_text('[[people]]\nname = "Siobhan"\n' + TEXT.partition("[[rounds]]")[0].partition("\n\n")[2])
    given = options_first(["--json", "--site", str(path), "site", "check"])
    result = CliRunner().invoke(kitchen, given)
    assert result.exit_code == 1, result.output
    told = {line["name"]: line["fix"] for line in map(json.loads, result.stdout.splitlines())}
    assert set(told) == {"Siobhan"}
    assert "also = [" in told["Siobhan"]
