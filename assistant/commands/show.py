"""How turns and entries are printed: for people, or one JSON object a turn."""

from __future__ import annotations

import json
import os
import re
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from assistant.dialogue.turn import Turn
    from assistant.errors import KitchenError
    from assistant.kitchen import Kitchen
    from assistant.logbook.entry import Entry
    from assistant.options import Options


def show_turn(turn: Turn, as_json: bool, label: str = "Heard", *, explain: bool = False) -> None:
    """Print one turn."""
    if as_json:
        click.echo(turn.model_dump_json())
        return
    heard = turn.heard or "(nothing)"
    click.echo(
        f'{label}: "{heard}"'
        + ("" if turn.engine == "typed" else f"  [{turn.engine}, {turn.confidence:.2f}]")
    )
    click.echo(f"Reply: {turn.reply or '(silence: nothing here was for me)'}")
    for entry in turn.entries:
        click.echo(f"Logged: {entry_line(entry)}")
    for line in turn.explained if explain else ():
        click.echo(f"  {line}")


def entry_line(entry: Entry) -> str:
    """Return one entry on one line."""
    degree = "°" if entry.unit in ("F", "C") else " "
    value = f" {entry.value}{degree}{entry.unit}" if entry.value is not None else ""
    verdict = f", {entry.verdict}" if entry.verdict else ""
    note = f" ({entry.note})" if entry.note else ""
    who = f", {entry.person}" if entry.person else ""
    refers = f" of #{entry.refers_to}" if entry.refers_to else ""
    read_at = entry.said_at[11:16] if entry.said_at else entry.at_local[11:16]
    read = f" at {read_at}" if read_at != entry.at_local[11:16] else ""
    head = f"#{entry.id} {entry.at_local[11:16]} {entry.kind.replace('_', ' ')}{refers}"
    return f"{head}: {entry.subject}{value}{read}{verdict}{who}{note}"


def called() -> str:
    """Return how the program was called, to be typed again: by the runner of a checkout, or as installed."""
    return "uv run kitchen" if "UV_RUN_RECURSION_DEPTH" in os.environ else "kitchen"


_COMMAND = re.compile(
    r"(?<!run )\bkitchen "
    r"(?=(?:site|models|log|manager|doctor|profiles|languages|ask|hear|listen|report|card|service)\b)"
)


def as_called(text: str) -> str:
    """Return ``text`` with the commands that it names as they are called here: "uv run kitchen site new"."""
    return _COMMAND.sub(f"{called()} ", text)


def sentence(error: KitchenError) -> str:
    """Return what a fault says as a sentence of its own; a command at its end is copied as it stands."""
    text = str(error)
    ended = text.endswith((".", "?", "!")) or ": kitchen " in text
    return as_called(text[:1].upper() + text[1:] + ("" if ended else "."))


def counted(count: int, one: str, many: str = "") -> str:
    """Return "1 clip", "2 clips": a number with its noun."""
    return f"{count} {one if count == 1 else many or one + 's'}"


EXAMPLE = (
    "No site file: the invented example kitchen is in force, and its names go into the log. "
    "Make your own: kitchen site new"
)


TRIED = "Only tried: this goes into a log of its own in {folder}, not into the kitchen's."
BEGUN = "A new log was begun in {folder}"
TRY_FIRST = 'To try things without filling it: kitchen ask --trial "walk-in thirty eight"'


def tell_example(options: Options) -> None:
    """Say it where no site file is in force."""
    if options.site_file is None:
        click.echo(as_called(EXAMPLE), err=True)


def tell_start(kitchen: Kitchen) -> None:
    """Say beside the answers what should not pass in silence: the example kitchen, a trial, a log begun."""
    if kitchen.example:
        click.echo(as_called(EXAMPLE), err=True)
    folder = kitchen.log.folder.absolute()
    if kitchen.trial:
        click.echo(TRIED.format(folder=folder), err=True)
    elif kitchen.new:
        click.echo(BEGUN.format(folder=folder), err=True)
        if not kitchen.named:
            click.echo(as_called(TRY_FIRST), err=True)


def tell(as_json: bool, text: str, **values: Any) -> None:
    """Print what a command did: ``text`` for people, or ``values`` as one JSON object."""
    click.echo(json.dumps(values, ensure_ascii=False, default=str) if as_json else as_called(text))
