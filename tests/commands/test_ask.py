"""The command line: one JSON object a turn, clear sentences, exit codes, nothing lost."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from assistant.commands.show import as_called
from assistant.door import kitchen, options_first


def run(*arguments: str, typed: str | None = None) -> Result:
    """Run the program with options anywhere, as from a shell."""
    return CliRunner().invoke(kitchen, options_first(list(arguments)), input=typed)


def turns(result: Result) -> list[dict[str, object]]:
    """Return the JSON objects of standard output."""
    return [json.loads(line) for line in result.stdout.splitlines()]


def test_json_turn_has_all_keys(tmp_path: Path) -> None:
    """A turn's JSON has every key that the contract names, and an entry its own."""
    (turn,) = turns(run("ask", "quat bucket 2 at 200 ppm", "--json", "--state", str(tmp_path)))
    wanted = {
        "heard",
        "confidence",
        "alternatives",
        "intent",
        "slots",
        "reply",
        "speech",
        "asks",
        "verdict",
        "entries",
    }
    assert wanted | {"sources", "engine", "timings_ms"} <= set(turn)
    entry = turn["entries"][0]  # type: ignore[index]
    assert {"id", "kind", "subject", "value", "unit", "verdict", "limits"} <= set(entry)
    assert (entry["subject"], entry["value"], entry["unit"], entry["verdict"]) == (
        "quat bucket 2",
        "200",
        "ppm",
        "pass",
    )
    assert turn["speech"] == "Quat bucket two, two hundred parts per million. Good."


def test_conversation_from_standard_input(tmp_path: Path) -> None:
    """Lines are one conversation; a blank line begins a fresh one."""
    typed = "where does the ground beef go\nand the turkey?\n\nand the turkey?\n"
    first, second, third = turns(run("--json", "--state", str(tmp_path), "ask", "-", typed=typed))
    assert first["intent"] == second["intent"] == "storage_place"
    assert third["intent"] != "storage_place"


def test_log_shows_what_was_said_and_corrected(tmp_path: Path) -> None:
    """The log shows an entry as it stands and what was first said."""
    state = ("--state", str(tmp_path), "--at", "2026-03-02T10:00")
    run(*state, "ask", "-", typed="walk-in thirty eight\nmake that thirty nine\nchlorine bucket 2 at 25\n")
    shown = run(*state, "log").stdout
    assert "walk-in 39°F, pass  [corrected; first said: walk-in 38]" in shown
    assert "[open]" in run(*state, "log", "--open").stdout
    failed = [json.loads(line) for line in run(*state, "log", "--failed", "--json").stdout.splitlines()]
    assert [line["subject"] for line in failed] == ["chlorine bucket 2"]


@pytest.mark.parametrize(
    ("arguments", "says", "code"),
    [
        (("ask", "   "), "no words", 2),
        (("--profile", "atlantis", "ask", "x"), "atlantis", 2),
        (("--at", "noonish", "ask", "x"), "noonish", 2),
        (("--site", "/nowhere/site.toml", "ask", "x"), "/nowhere/site.toml", 2),
        (("log", "--day", "tomorrow"), "tomorrow", 2),
        (("hear", "/nowhere/clip.wav"), "/nowhere/clip.wav", 2),
        (("hear", "--engine", "parrot", "x.wav"), "parrot", 2),
    ],
)
def test_wrong_input_gets_one_sentence(
    tmp_path: Path, arguments: tuple[str, ...], says: str, code: int
) -> None:
    """Each wrong input ends in one sentence on standard error and the right exit code."""
    result = run("--state", str(tmp_path), *arguments)
    assert result.exit_code == code
    assert says in result.stderr
    assert "Traceback" not in result.output
    assert len(result.stderr.strip().splitlines()) == 1


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[kitchen]\nprofil = 'x'\n", "kitchen.profil"),
        ("[kitchen\n", "not valid TOML"),
        ("[[equipment]]\nid='a'\nname='A'\nkind='oven'\n", "oven"),
        ("[[products]]\nid='q'\nkind='quat'\nlabel_min_ppm=400\nlabel_max_ppm=200\n", "label_min_ppm"),
        ("[[equipment]]\nid='a'\nname='A'\nkind='freezer'\nproduct='q'\n", "product 'q'"),
        ("[[overrides]]\nkey='nonsense'\nvalue='1'\nunit='F'\nsource='county'\n", "nonsense"),
    ],
)
def test_site_faults_name_the_key(tmp_path: Path, text: str, says: str) -> None:
    """A fault in the site file names the key and says what to write."""
    path = tmp_path / "site.toml"
    path.write_text(text)
    result = run("--state", str(tmp_path / "s"), "--site", str(path), "ask", "hello")
    assert result.exit_code == 2
    assert says in result.stderr


def test_site_override_changes_the_verdict(tmp_path: Path) -> None:
    """A local figure with its source line replaces the profile's."""
    from importlib.resources import files

    text = (files("assistant") / "example_site.toml").read_text(encoding="utf-8")
    text += (
        "\n[[overrides]]\nkey='cold_holding_max'\nvalue='38'\nunit='F'\nsource='county order (invented)'\n"
    )
    path = tmp_path / "site.toml"
    path.write_text(text)
    (turn,) = turns(
        run("--json", "--state", str(tmp_path / "s"), "--site", str(path), "ask", "walk-in thirty nine")
    )
    assert turn["verdict"] == "fail"
    assert turn["sources"][0]["document"] == "county order (invented)"  # type: ignore[index]


def test_words_need_no_quotes(tmp_path: Path) -> None:
    """Several words are one sentence, a minus sign and all; a mistyped option is still told."""
    (turn,) = turns(run("--json", "--state", str(tmp_path), "ask", "freezer", "-4"))
    assert turn["heard"] == "freezer -4"
    result = run("--state", str(tmp_path), "ask", "--profle", "california")
    told = as_called("There is no option --profle. See: kitchen ask --help\n")
    assert (result.exit_code, result.stderr) == (2, told)


def test_an_overlong_line_is_passed_over(tmp_path: Path) -> None:
    """One line that is far too long, or not even text, does not end the conversation."""
    long = "walk-in " + "thirty eight " * 50_000
    result = run("--json", "--state", str(tmp_path), "ask", "-", typed=f"{long}\nquat bucket 2 at 200 ppm\n")
    assert [turn["verdict"] for turn in turns(result)] == ["pass"]
    assert "Line 1 is longer than 2000 characters" in result.stderr
    assert result.exit_code == 2


def test_bytes_that_are_no_text(tmp_path: Path) -> None:
    """A stray byte spoils its word only."""
    typed = b"\xff\xfe\nquat bucket 2 at 200 ppm\n"
    result = CliRunner().invoke(kitchen, ["--json", "--state", str(tmp_path), "ask", "-"], input=typed)
    assert result.exit_code == 0
    assert turns(result)[-1]["verdict"] == "pass"


def test_who_is_on_stays_on_from_one_command_to_the_next(tmp_path: Path) -> None:
    """Until signed out or the day ends; a fresh conversation on standard input is somebody new's."""
    state = ("--state", str(tmp_path), "--json")
    run(*state, "ask", "this is Dev")

    def person(*arguments: str, typed: str | None = None) -> object:
        entries = turns(run(*state, *arguments, typed=typed))[-1]["entries"]
        return entries[0]["person"]  # type: ignore[index]

    assert person("ask", "freezer minus three") == "Dev"
    assert person("ask", "-", typed="walk-in thirty eight\n") == "Dev"
    assert person("ask", "-", typed="\nwalk-in thirty eight\n") == ""
    run(*state, "ask", "sign me out")
    assert person("ask", "freezer minus two") == ""


def test_what_was_not_judged_is_listed_with_why(tmp_path: Path) -> None:
    """A freezer above zero whose food nobody looked at is no failure and no pass: it has its own list."""
    state = ("--state", str(tmp_path))
    run(*state, "ask", "-", typed="freezer five\nwalk-in thirty eight\n")
    (line,) = run(*state, "log", "--unjudged").stdout.splitlines()
    assert "freezer 5°F, cannot judge  [outside the limit" in line
