"""``kitchen service``: start with the machine, start again after a fault, log to the journal."""

from __future__ import annotations

import getpass
import shutil
import subprocess
from typing import Any

import click

from assistant.commands.show import tell
from assistant.errors import InputError, KitchenError, MissingError, in_words
from assistant.options import Options
from assistant.service_unit import NAME, unit_folder, unit_text


@click.group(invoke_without_command=True)
@click.pass_context
def service(context: click.Context) -> None:
    """Start it with the machine and keep it running (systemd).

    Alone it says whether it is set up. "install" sets it up with the options given beside it, "remove"
    ends it.
    """
    if context.invoked_subcommand is not None:
        return
    unit = unit_folder() / NAME
    there = unit.is_file()
    text = f"It is set up: {unit}" if there else 'It is not set up. Set it up with "service install".'
    tell(context.obj["json"], text, installed=there, unit=unit)


@service.command()
@click.option("--microphone", default="", help="Its full name (default: the site's).")
@click.option("--speaker", default="", help="Its full name (default: the site's).")
@click.option("--only-write", is_flag=True, help="Write the unit, start nothing.")
@click.pass_obj
def install(settings: dict[str, Any], microphone: str, speaker: str, only_write: bool) -> None:
    """Write the user's unit, enable it and start it now; common options are kept in it."""
    options: Options = settings["options"]
    if options.at:
        raise InputError("A service has the machine's own clock; leave out --at.")
    options.load_site()  # a fault in the site file is told now, not in the journal
    words: list[str] = []
    for name, value in (("--state", options.state), ("--site", options.site_file)):
        words += [name, str(value.absolute())] if value is not None else []
    words += ["--profile", options.profile] if options.profile else []
    words += ["listen", "--plain"]
    words += ["--microphone", microphone] if microphone else []
    words += ["--speaker", speaker] if speaker else []
    unit = unit_folder() / NAME
    try:
        unit.parent.mkdir(parents=True, exist_ok=True)
        unit.write_text(unit_text(words), encoding="utf-8")
    except OSError as fault:
        raise KitchenError(f"The unit {unit} cannot be written ({in_words(fault)}).") from None
    if not only_write:
        _control("daemon-reload")
        _control("enable", "--now", NAME)
    text = (
        f"{unit} is written{'' if only_write else ', and it runs'}. Its lines: journalctl --user -u {NAME}\n"
        f"To start with the machine, before anybody signs in: loginctl enable-linger {getpass.getuser()}"
    )
    tell(settings["json"], text, unit=unit, started=not only_write)


@service.command()
@click.pass_obj
def remove(settings: dict[str, Any]) -> None:
    """Stop it, and start it with the machine no more. The log stays."""
    unit = unit_folder() / NAME
    if not unit.is_file():
        raise InputError(f"It is not set up: there is no {unit}.")
    if shutil.which("systemctl"):
        _control("disable", "--now", NAME)
    unit.unlink()
    if shutil.which("systemctl"):
        _control("daemon-reload")
    tell(settings["json"], f"{unit} is removed. The log stays where it is.", unit=unit)


def _control(*words: str) -> None:
    """Ask systemd; raises ``MissingError`` where there is none, ``KitchenError`` where it refuses."""
    if not shutil.which("systemctl"):
        raise MissingError(
            f"This machine has no systemd (systemctl); the unit is at {unit_folder() / NAME}, "
            "start the program in another way"
        )
    done = subprocess.run(["systemctl", "--user", *words], capture_output=True, text=True, check=False)
    if done.returncode:
        said = done.stderr.strip().splitlines()
        raise KitchenError(
            f"systemd refused '{words[0]}': {said[-1] if said else 'it does not say why'}. The unit is at "
            f"{unit_folder() / NAME}; do it again in a session that this user signed in to (not su or sudo)."
        )
