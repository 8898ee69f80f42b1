"""``kitchen ask``: typed turns through the same road as voice."""

from __future__ import annotations

import sys
from typing import Any

import click

from assistant.commands.show import show_turn
from assistant.errors import InputError
from assistant.kitchen import open_kitchen
from intents.hypotheses import Hypotheses

LONGEST_LINE = 2000


@click.command()
@click.argument("words")
@click.pass_obj
def ask(settings: dict[str, Any], words: str) -> None:
    """Take one typed turn, or with "-" one conversation from standard input, a line a turn.

    A blank line begins a fresh conversation.
    """
    with open_kitchen(settings["options"]) as kitchen:
        if words != "-":
            show_turn(kitchen.conversation.hear(Hypotheses.typed(_checked(words))), settings["json"])
            return
        for line in sys.stdin:
            if not line.strip():
                kitchen.conversation.fresh()
                continue
            show_turn(kitchen.conversation.hear(Hypotheses.typed(_checked(line.strip()))), settings["json"])


def _checked(words: str) -> str:
    if not words.strip():
        raise InputError('There are no words to answer. Try: kitchen ask "where does the ground beef go".')
    if len(words) > LONGEST_LINE:
        raise InputError(f"That is more than {LONGEST_LINE} characters; say one thing at a time.")
    return words
