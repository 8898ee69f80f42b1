"""A kitchen of one's own: where its file is found, that its absence is told, and how one is made."""

from __future__ import annotations

import errno
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from assistant.commands.show import EXAMPLE, as_called
from assistant.commands.site import _write
from assistant.door import kitchen, options_first
from assistant.errors import InputError
from assistant.new_site import USUAL
from assistant.site import default_site_file, load_site

LABEL = ("--label", "quat=150-400")


def run(*arguments: str, typed: str | None = None) -> Result:
    """Run the program as from a shell."""
    return CliRunner().invoke(kitchen, options_first(list(arguments)), input=typed)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user's configuration folder with nothing in it."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    return tmp_path


def make(*more: str) -> Result:
    """Make a site file without being asked anything."""
    given = ("--name", "Quay Street", "--jurisdiction", "fda_2022", "--people", "Ana, Bo")
    return run("site", "new", *given, "--places", ", ".join(USUAL), *LABEL, *more)


def test_without_a_site_file_every_start_says_so(home: Path) -> None:
    """The example kitchen is never in force in silence; the answer on standard output stays alone."""
    for _ in range(2):
        result = run("--state", str(home / "log"), "--json", "ask", "walk-in thirty eight")
        assert result.stderr.splitlines()[0] == as_called(EXAMPLE)
        assert json.loads(result.stdout)["verdict"] == "pass"


@pytest.mark.parametrize(("runner", "said"), [("1", "uv run kitchen"), ("", "kitchen")])
def test_commands_are_named_as_they_are_called(
    monkeypatch: pytest.MonkeyPatch, runner: str, said: str
) -> None:
    """A copied hint has to work in a checkout, too; what is written with its runner stays."""
    monkeypatch.delenv("UV_RUN_RECURSION_DEPTH", raising=False)
    if runner:
        monkeypatch.setenv("UV_RUN_RECURSION_DEPTH", runner)
    assert as_called("Make your own: kitchen site new") == f"Make your own: {said} site new"
    assert as_called("uv run kitchen log") == "uv run kitchen log"


def test_a_made_one_is_in_force_from_then_on(home: Path) -> None:
    """Made at the usual place: no word about the example any more, and the log bears the kitchen's name."""
    made = make()
    assert made.exit_code == 0, made.output
    assert default_site_file().is_file()
    assert load_site(default_site_file()).kitchen.name == "Quay Street"
    result = run("--state", str(home / "log"), "--json", "ask", "quat bucket at 300 ppm")
    assert "example" not in result.stderr
    (turn,) = (json.loads(line) for line in result.stdout.splitlines())
    assert "150" in json.dumps(turn["entries"][0]["limits"])
    assert json.loads(run("--json", "site").stdout)["name"] == "Quay Street"


def test_it_asks_on_a_terminal_what_was_not_given() -> None:
    """Name, code, places, people, how many of what, and the range of each label that the places need."""
    result = run(
        "site", "new", typed="Quay Street\n\nwalk-in, quat bucket\n2\nAna\nn\n2\n2\nn\nn\n200\n400\n"
    )
    assert result.exit_code == 0, result.output
    assert "Error: '2' is no name" in result.output
    assert "Error: 'n' is no number from 1 to 99." in result.output
    made = load_site(default_site_file())
    assert [item.id for item in made.equipment] == ["walk-in", "quat bucket"]
    assert [person.name for person in made.people] == ["Ana"]
    assert [(p.label_min_ppm, p.label_max_ppm) for p in made.products] == [(200.0, 400.0)]
    assert {place for plan in made.rounds for place in plan.places} == {
        "walk-in 1", "walk-in 2", "quat bucket 1", "quat bucket 2"
    }  # fmt: skip


def test_a_label_that_is_not_at_hand_leaves_its_places_out() -> None:
    """Nothing is made up and nobody is held up: the places come later, and that is said."""
    result = run("site", "new", typed="Quay Street\n\nwalk-in, quat bucket\n\n\n\nlots\n\n")
    assert result.exit_code == 0, result.output
    assert "'lots' is no number" in result.output
    assert "Left out without its label: quat bucket." in result.output
    made = load_site(default_site_file())
    assert [item.id for item in made.equipment] == ["walk-in"]
    assert made.products == ()


@pytest.mark.parametrize(
    ("count", "said", "place"),
    [
        ("", "quat bucket two hundred", "quat bucket"),
        ("", "bucket two hundred", "quat bucket"),
        ("quat bucket=1", "quat bucket at 200 ppm", "quat bucket"),
        ("quat bucket=3", "quat bucket 2 at 200 ppm", "quat bucket 2"),
        ("quat bucket=3", "quat bucket two hundred", ""),  # which of the three?
    ],
)
def test_a_kitchen_with_one_bucket_is_not_asked_which(home: Path, count: str, said: str, place: str) -> None:
    """One of a kind has no number; of several it asks for it."""
    assert make(*(("--count", count) if count else ())).exit_code == 0
    turn = json.loads(run("--state", str(home / "log"), "--json", "ask", said).stdout.splitlines()[0])
    assert [entry["subject"] for entry in turn["entries"]] == ([place] if place else [])
    assert bool(place) or turn["asks"]


def test_one_more_without_a_number() -> None:
    """Asked on a terminal: two freezers with numbers and one without, which its name alone means."""
    result = run("site", "new", typed="Quay Street\n\nfreezer\n\n2\ny\n")
    assert result.exit_code == 0, result.output
    (freezer,) = load_site(default_site_file()).equipment
    assert (freezer.numbers, freezer.unnumbered) == ((1, 2), True)


def test_rounds_name_the_places_as_they_are_here() -> None:
    """The example's rounds go to "quat bucket 1" and "2": the only bucket is visited once."""
    make()
    for plan in load_site(default_site_file()).rounds:
        assert len(set(plan.places)) == len(plan.places)
        assert "quat bucket 1" not in plan.places


def test_one_that_is_there_is_never_overwritten() -> None:
    """A second try is refused, and the first file stays as it was."""
    make()
    before = default_site_file().read_bytes()
    again = make("--name", "Other")
    asked = run("site", "new", typed="Quay Street\n")
    assert {again.exit_code, asked.exit_code} == {2}
    assert "is there already" in again.stderr
    assert "Name of the kitchen" not in asked.output, "refused only after the questions"
    assert default_site_file().read_bytes() == before


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (("--places", "walk-in, moon"), "no place 'moon'"),
        (("--label", "quat=many"), "quat=many"),
        (("--jurisdiction", "atlantis"), "atlantis"),
        (("--label", "quat=400-150"), "label_min_ppm"),
        (("--count", "quat bucket=0"), "quat bucket=0"),
        (("--count", "moon=2"), "no place 'moon'"),
        (("--people", "Ana, 2"), "'2' is no name"),
    ],
)
def test_wrong_answers_get_one_sentence(more: tuple[str, ...], says: str) -> None:
    """What cannot be right is told by name, and no file is left behind."""
    result = make(*more)
    assert result.exit_code == 2
    assert says in result.stderr
    assert not default_site_file().exists()


def test_the_environment_names_another_file_and_the_option_wins(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """``--site`` before ``KITCHEN_SITE`` before the usual place; a named one that is missing is a fault."""
    make()
    make("--name", "By Variable", "--to", str(home / "v.toml"))
    make("--name", "By Option", "--to", str(home / "o.toml"))
    monkeypatch.setenv("KITCHEN_SITE", str(home / "v.toml"))
    assert json.loads(run("--json", "site").stdout)["name"] == "By Variable"
    assert json.loads(run("--json", "--site", str(home / "o.toml"), "site").stdout)["name"] == "By Option"
    monkeypatch.setenv("KITCHEN_SITE", str(home / "gone.toml"))
    assert "gone.toml cannot be read" in run("site").stderr


def test_a_set_clock_needs_a_folder_of_its_own() -> None:
    """``--at`` would write a wrong time into the real log, so it is refused without ``--state``."""
    result = run("--at", "1900-01-01T10:00", "ask", "walk-in thirty eight")
    assert result.exit_code == 2
    assert "add --trial, or --state FOLDER" in result.stderr


def test_what_a_full_disk_cut_off_is_not_left_in_force(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One sentence, and no half file that would be read at the next start."""

    def full(path: Path, *_: str, **__: str) -> None:
        path.touch()
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Path, "open", full)
    target = tmp_path / "site.toml"
    with pytest.raises(InputError, match=r"cannot be written \(the disk is full\)"):
        _write(target, "text")
    assert not target.exists()


def test_what_is_said_of_the_example_kitchen_is_said_where_it_is_in_force(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The card and the sentences to say name the example's places; nothing calls a missing file right."""
    monkeypatch.setattr("assistant.hear_check.own_names.doubtful", lambda *_: False)  # nothing is said aloud
    for words in (("card",), ("hear-check", "--list"), ("site", "check")):
        said = run(*words).stderr
        assert said.startswith(as_called(EXAMPLE)), words
        assert "The site file is right" not in said
    make()
    assert run("site", "check").stderr.startswith("The site file is right. Of ")
    for words in (("card",), ("hear-check", "--list")):
        assert "example" not in run(*words).stderr, words
