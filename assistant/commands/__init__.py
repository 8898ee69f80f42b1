"""One file a command, each thin: read options, call the program, print."""

from __future__ import annotations

import click

from assistant.commands.ask import ask
from assistant.commands.hear import hear

ALL: tuple[click.Command, ...] = (ask, hear)
