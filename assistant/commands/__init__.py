"""One file a command, each thin: read options, call the program, print. A command is loaded when called."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module

import click


@dataclass(frozen=True)
class Entry:
    """Where a command is, and its line in the list, which must not cost the loading of every command."""

    module: str
    about: str

    def load(self, called: str) -> click.Command:
        """Return the command itself."""
        module = import_module(f"assistant.commands.{self.module}")
        command: click.Command = getattr(module, called.replace("-", "_"))
        return command


COMMANDS: dict[str, Entry] = {
    "ask": Entry(
        "ask", 'Take one typed turn, or with "-" one conversation from standard input, a line a turn.'
    ),
    "hear": Entry("hear", "Take one turn a sound file (WAV or FLAC), in order, as one conversation."),
    "hear-check": Entry(
        "hear_check", "Say a dozen sentences; learn how well this place hears and what to move."
    ),
    "listen": Entry("listen", "Listen and answer until Ctrl-C."),
    "log": Entry("log", "Show the log, play it, verify it."),
    "manager": Entry("manager", "Open the manager's page: today, the log, charts, sign-off."),
    "report": Entry("report", "Write the record of a span of days as a PDF for an inspector."),
    "card": Entry("report", "Print what is said most as one page for the wall"),
    "models": Entry("models", "List the speech models; get one from its publisher or from a stick."),
    "profiles": Entry(
        "profiles", "List the jurisdictions, or every figure of NAME with its source and flag."
    ),
    "site": Entry("site", 'Show which site file is in force; make one with "site new".'),
    "service": Entry("service", "Start it with the machine and keep it running (systemd)."),
    "doctor": Entry("doctor", "Look at sound devices, voice, models, words, disk, clock and database."),
    "demo": Entry("demo", "Run a scripted shift from sound: ask, set up, fail, recheck, play the log back."),
}
"""Every command in the order of the list."""
