"""One file a command, each thin: read options, call the program, print. A command is loaded when called."""

from __future__ import annotations

import gc
from dataclasses import dataclass
from importlib import import_module

import click


@dataclass(frozen=True)
class Entry:
    """Where a command is, and its line in the list, which must not cost the loading of every command."""

    module: str
    about: str
    common: str = ""
    """Which of the common options it looks at, of ``json state trial site profile at``."""

    def load(self, called: str) -> click.Command:
        """Return the command itself."""
        command: click.Command = getattr(
            import_module(f"assistant.commands.{self.module}"), called.replace("-", "_")
        )
        if not gc.isenabled():
            gc.freeze()  # the modules are never looked through again
            gc.enable()
        return command


EVERY = "json state trial site profile at"
COMMANDS: dict[str, Entry] = {
    "ask": Entry(
        "ask",
        'Take one typed turn, or with "-" one conversation from standard input, a line a turn.',
        EVERY,
    ),
    "hear": Entry(
        "hear",
        "Take one turn a sound file (WAV, FLAC or OGG), in order, as one conversation.",
        EVERY,
    ),
    "hear-check": Entry(
        "hear_check",
        "Say what it asks for, where you stand at work.",
        "json site profile",
    ),
    "listen": Entry(
        "listen",
        "Listen and answer until Ctrl-C.",
        EVERY,
    ),
    "log": Entry(
        "log",
        "Show the log, play it, verify it.",
        EVERY,
    ),
    "manager": Entry(
        "manager",
        "Open the manager's page: today, the log, charts, sign-off.",
        "state trial site profile at",
    ),
    "report": Entry(
        "report",
        "Write the record of a span of days as a PDF for an inspector.",
        EVERY,
    ),
    "card": Entry(
        "report",
        "Print what is said most as one page for the wall",
        "json site profile",
    ),
    "models": Entry(
        "models",
        "List the speech models; get one from its publisher or from a stick.",
        "json",
    ),
    "profiles": Entry(
        "profiles",
        "List the jurisdictions, or every figure of NAME with its source and flag.",
        "json",
    ),
    "languages": Entry(
        "languages",
        "List the languages, or all that CODE, which is not complete, still lacks.",
        "json",
    ),
    "site": Entry(
        "site",
        'Show which site file is in force; make one with "site new".',
        "json site profile",
    ),
    "service": Entry(
        "service",
        "Start it with the machine and keep it running (systemd).",
        "json state site profile",
    ),
    "doctor": Entry(
        "doctor",
        "Look at sound devices, voice, models, words, disk, clock and database.",
        "json state site profile",
    ),
    "completion": Entry("completion", "Print the lines with which a SHELL completes commands and options."),
    "demo": Entry(
        "demo",
        "Run a scripted shift from sound: ask, set up, fail, recheck, play the log back.",
        "json state site profile at",
    ),
}
"""Every command in the order of the list."""
