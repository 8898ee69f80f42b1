"""``kitchen ask``: typed turns through the same road as voice."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator
from typing import Any, TextIO

import click

from assistant.commands.languages import pack_of
from assistant.commands.show import show_turn, tell_start
from assistant.errors import InputError
from assistant.kitchen import open_kitchen
from assistant.options import Options
from intents.hypotheses import Hypotheses
from intents.lexicon import LexiconError, load_lexicon
from intents.quantities.grammar import grammar

LONGEST_LINE = 2000
TRIED = "That language is not complete and is only tried: add --trial, or a folder for its log with --state."
TOO_LONG = f"is longer than {LONGEST_LINE} characters; say one thing at a time"


@click.command(context_settings={"ignore_unknown_options": True})  # "ask freezer -4" is no option
@click.argument("words", nargs=-1, required=True)
@click.option("--explain", is_flag=True, help="Also print what was understood and what decided.")
@click.option("--language", default="", help="Take it in this language alone; see: kitchen languages.")
@click.pass_context
def ask(context: click.Context, words: tuple[str, ...], explain: bool, language: str) -> None:
    """Take one typed turn, or with "-" one conversation from standard input, a line a turn.

    A blank line begins a fresh conversation. A language that is not complete is only tried: with --trial.
    """
    settings: dict[str, Any] = context.obj
    # For one turn it takes longer to write the net's code for wider processors than that code saves.
    os.environ.setdefault("ONEDNN_MAX_CPU_ISA", "AVX2")
    if language:
        _can_be_tried(language, settings["options"])
    said = "" if words == ("-",) else _checked(words)
    skipped = 0
    with open_kitchen(settings["options"]) as kitchen:
        tell_start(kitchen)
        kitchen.conversation.go_on()
        if said:
            show_turn(
                kitchen.conversation.hear(Hypotheses.typed(said, language)), settings["json"], explain=explain
            )
            return
        if sys.stdin.isatty():
            click.echo("Type what a cook would say, a line a turn; Ctrl-D ends.", err=True)
        for number, line in enumerate(_lines(sys.stdin), 1):
            if not line.strip():
                kitchen.conversation.fresh()
            elif len(line) > LONGEST_LINE:
                click.echo(f"Line {number} {TOO_LONG}. It was passed over.", err=True)
                skipped += 1
            else:
                turn = kitchen.conversation.hear(Hypotheses.typed(line.strip(), language))
                show_turn(turn, settings["json"], explain=explain)
    if skipped:
        context.exit(InputError.exit_code)


def _can_be_tried(code: str, options: Options) -> None:
    """Raise ``InputError`` for a language that is not there, or lacks too much, or has no log of its own."""
    pack = pack_of(code)
    if not (pack.complete or options.trial or options.state):
        raise InputError(TRIED)
    try:
        load_lexicon(code)
        grammar(code)
    except (LexiconError, ImportError, OSError) as fault:
        raise InputError(
            f"The language '{code}' cannot be tried yet: {fault}. See: kitchen languages {code}"
        ) from None


def _lines(stream: TextIO) -> Iterator[str]:
    """Go through the lines, however long, without ever holding more of one than is looked at."""
    if isinstance(stream, io.TextIOWrapper):
        stream.reconfigure(errors="replace")  # a stray byte spoils a word, not the whole conversation
    at_terminal = stream.isatty()
    while True:
        if at_terminal:
            click.echo("> ", nl=False, err=True)
        if not (line := stream.readline(LONGEST_LINE + 2)):
            return
        yield line.rstrip("\n")
        while line and not line.endswith("\n"):
            line = stream.readline(LONGEST_LINE + 2)


def _checked(words: tuple[str, ...]) -> str:
    """Return the words as one sentence; raises ``InputError`` for none, too many, or a mistyped option."""
    said = " ".join(words).strip()
    if not said:
        raise InputError('There are no words to answer. Try: kitchen ask "where does the ground beef go".')
    if words[0].startswith("--"):
        raise InputError(f"There is no option {words[0]}. See: kitchen ask --help")
    if len(said) > LONGEST_LINE:
        raise InputError(f"That {TOO_LONG}.")
    return said
