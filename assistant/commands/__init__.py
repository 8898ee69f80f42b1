"""One file a command, each thin: read options, call the program, print."""

from __future__ import annotations

import click

from assistant.commands.ask import ask
from assistant.commands.demo import demo
from assistant.commands.hear import hear
from assistant.commands.log import log

ALL: tuple[click.Command, ...] = (ask, hear, log, demo)
