"""The door: every command, thin. Faults end in one sentence on standard error and an exit code."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import NoReturn

import click

from assistant.commands import COMMANDS
from assistant.errors import STOPPED, InputError, KitchenError
from assistant.options import Options

CONTEXT = {"help_option_names": ["-h", "--help"], "max_content_width": 100}


TWO_LOGS = "--trial has a log of its own; leave out --state"
SET_CLOCK = "--at sets the clock, and that time would go into the real log: add --trial, or --state FOLDER"
NO_TRIAL = "--trial says nothing here: {command} has no log for trials; leave it out"
FULL = "What is printed cannot be written: the disk is full. What was logged is kept."


class Door(click.Group):
    """The group of commands, each loaded when it is called; options may also stand after its name."""

    def list_commands(self, context: click.Context) -> list[str]:
        """Return the names."""
        return list(COMMANDS)

    def get_command(self, context: click.Context, name: str) -> click.Command | None:
        """Load a command."""
        if name not in COMMANDS:
            return None
        command = COMMANDS[name].load(name)
        common = set(COMMANDS[name].common.replace("json", "as_json").split())
        _tell_common(command, [each for each in self.params if each.name in common], context)
        return command

    def format_commands(self, context: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list without loading what is in it."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, entry.about) for name, entry in COMMANDS.items()])

    def invoke(self, context: click.Context) -> object:
        """Run the command; a fault becomes one sentence and its exit code."""
        try:
            return super().invoke(context)
        except KitchenError as error:
            from assistant.commands.show import sentence

            click.echo(sentence(error), err=True)
            context.exit(error.exit_code)
        except KeyboardInterrupt:
            click.echo("\nStopped. What was logged is kept.", err=True)
            context.exit(STOPPED)
        except (click.exceptions.Exit, click.ClickException, click.Abort):
            raise
        except BrokenPipeError:
            context.exit(0)
        except Exception as fault:
            if isinstance(fault, OSError) and fault.errno == errno.ENOSPC and fault.filename is None:
                _printed_in_vain()
            folder = context.obj["options"].folder if context.obj else Path()
            click.echo(_unexpected(fault, folder), err=True)
            context.exit(1)


def _tell_common(command: click.Command, options: list[click.Parameter], context: click.Context) -> None:
    """Let the help of a command, and of those below it, end with the common options that it looks at."""
    if not options or command.epilog:
        return
    records = [record for each in options if (record := each.get_help_record(context))]
    width = max(len(option) for option, _ in records) + 2
    lines = [f"  {option:{width}}{text}" for option, text in records]
    command.epilog = "\n".join(["\b", "Common options, before or after the command:", *lines])
    if isinstance(command, click.Group):
        for below in command.commands.values():
            _tell_common(below, options, context)


def _printed_in_vain() -> NoReturn:
    click.echo(FULL, err=True)
    os._exit(1)  # what waits to be printed would fail once more at the end


def _unexpected(fault: Exception, folder: Path) -> str:
    """Keep the details of a fault of our own in a file and return the sentence about it."""
    import traceback

    kept = ""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "fault.txt").write_text("".join(traceback.format_exception(fault)), encoding="utf-8")
        kept = f" Details are in {folder / 'fault.txt'}."
    except OSError:
        pass
    return (
        f"This program has a fault ({type(fault).__name__}: {fault}).{kept} Nothing that was logged is lost."
    )


@click.group(cls=Door, context_settings=CONTEXT)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object a turn on standard output.")
@click.option("--state", type=click.Path(path_type=Path), help="Folder of the log and the clips.")
@click.option("--trial", is_flag=True, help="Only try things, in a log beside the kitchen's own.")
@click.option("--site", type=click.Path(path_type=Path), help="The kitchen's own facts (TOML).")
@click.option("--profile", default="", help="Jurisdiction, such as fda_2022 or california.")
@click.option("--at", default="", help="Set the clock (ISO time), for tests and demos.")
@click.version_option(package_name="kitchen-assistant")
@click.pass_context
def kitchen(
    context: click.Context,
    as_json: bool,
    state: Path | None,
    trial: bool,
    site: Path | None,
    profile: str,
    at: str,
) -> None:
    """Hands-free kitchen assistant: ask, report readings, play the log back."""
    if trial and state is not None:
        raise InputError(TWO_LOGS)
    if at and not (state or trial) and context.invoked_subcommand != "demo":
        raise InputError(SET_CLOCK)
    command = context.invoked_subcommand
    if trial and command in COMMANDS and "trial" not in COMMANDS[command].common.split():
        raise InputError(NO_TRIAL.format(command=command))
    context.obj = {"options": Options(state, site, profile, at, trial), "json": as_json}


def run(arguments: list[str]) -> None:
    """Run the program with the words that stood behind its name."""
    try:
        kitchen(args=options_first(arguments), prog_name="kitchen")
    except OSError as fault:  # of a help text or a list, which no command prints
        if fault.errno != errno.ENOSPC:
            raise
        _printed_in_vain()


_WITH_VALUE = ("--state", "--site", "--profile", "--at")


def options_first(arguments: list[str]) -> list[str]:
    """Move the common options before the command, so that they may stand anywhere (not after ``--``)."""
    front: list[str] = []
    rest: list[str] = []
    at = 0
    while at < len(arguments):
        word = arguments[at]
        if word == "--":
            rest += arguments[at:]
            break
        if word in ("--json", "--trial") or word.startswith(tuple(f"{name}=" for name in _WITH_VALUE)):
            front.append(word)
        elif word in _WITH_VALUE:
            front += arguments[at : at + 2]
            at += 1
        else:
            rest.append(word)
        at += 1
    return front + rest
