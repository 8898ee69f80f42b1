"""What the help of each command says of the common options, completion, and prompts at a terminal."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from assistant.commands import COMMANDS
from assistant.door import kitchen
from assistant.errors import in_words

NAMES = ("--json", "--state", "--trial", "--site", "--profile", "--at")


def helps(command: click.Command, words: tuple[str, ...]) -> dict[tuple[str, ...], str]:
    """Return the help of a command and of all below it."""
    found = {words: CliRunner().invoke(kitchen, [*words, "--help"]).output}
    if isinstance(command, click.Group):
        for name, below in command.commands.items():
            found |= helps(below, (*words, name))
    return found


@pytest.mark.parametrize("name", COMMANDS)
def test_each_help_names_the_common_options_that_it_looks_at(name: str) -> None:
    """Those that the table lists, and no other, down to the verbs of ``log``."""
    common = {f"--{word}" for word in COMMANDS[name].common.split()}
    for words, text in helps(COMMANDS[name].load(name), (name,)).items():
        lines = text.partition("Common options")[2].splitlines()
        assert {word for word in NAMES if any(line.strip().startswith(word) for line in lines)} == common, (
            words
        )


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_is_printed_for_each_shell(shell: str) -> None:
    """The lines call the program back."""
    done = CliRunner().invoke(kitchen, ["completion", shell])
    assert done.exit_code == 0
    assert f"_KITCHEN_COMPLETE={shell}_complete" in done.output


def test_a_command_and_a_verb_are_completed(tmp_path: Path) -> None:
    """As a shell asks for it."""
    asks = {
        **os.environ,
        "_KITCHEN_COMPLETE": "bash_complete",
        "COMP_WORDS": "kitchen log ve",
        "COMP_CWORD": "2",
    }
    done = subprocess.run(
        [sys.executable, "-m", "assistant.cli"], env=asks, capture_output=True, text=True, check=False
    )
    assert done.stdout.split() == ["plain,verify"]


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals exist on Unix only")
def test_a_conversation_at_a_terminal_shows_a_prompt(tmp_path: Path) -> None:
    """On standard error, so that what is answered can still be piped; none where words are piped in."""
    import pty

    ours, its = pty.openpty()
    command = [sys.executable, "-m", "assistant.cli", "--state", str(tmp_path), "ask", "-"]
    process = subprocess.Popen(command, stdin=its, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    os.close(its)
    os.write(ours, b"where does the ground beef go\n\x04")
    out, err = process.communicate(timeout=120)
    os.close(ours)
    assert err.count("> ") == 2
    assert "Reply: Second from the bottom" in out
    assert "> " not in out
    piped = subprocess.run(command, input="help\n", capture_output=True, text=True, check=True)
    assert "> " not in piped.stderr


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a disk that is always full exists on Linux only")
@pytest.mark.parametrize("words", [["--help"], ["log", "--help"], ["--version"], ["profiles"]])
def test_a_full_disk_is_one_sentence_whatever_is_printed(words: list[str]) -> None:
    """Help is printed before any command runs."""
    with open("/dev/full", "w", encoding="utf-8") as full:
        done = subprocess.run(
            [sys.executable, "-m", "assistant.cli", *words], stdout=full, stderr=subprocess.PIPE, text=True,
            check=False,
        )  # fmt: skip
    assert (done.returncode, len(done.stderr.splitlines())) == (1, 1)
    assert "the disk is full" in done.stderr


def test_the_systems_refusals_are_told_in_plain_words() -> None:
    """Neither its wording nor its numbers."""
    for number in errno.errorcode:
        said = in_words(OSError(number, os.strerror(number)))
        assert said
        assert os.strerror(number) not in said
        assert str(number) not in said
    assert in_words(TimeoutError()) == "no answer came in time"
