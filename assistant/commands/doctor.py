"""``kitchen doctor``: what works on this machine, and what to do about what does not."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from assistant.commands.show import as_called
from assistant.errors import KitchenError, MissingError
from assistant.options import Options

if TYPE_CHECKING:
    from assistant.speech.doctor import Check

BACKUP_IS_OLD = timedelta(days=2)
MARKS = {"ok": "ok     ", "spare": "-      ", "warning": "WARNING", "missing": "MISSING"}


@click.command()
@click.option("--listen", is_flag=True, help="Also take four seconds of sound while you speak.")
@click.pass_context
def doctor(context: click.Context, listen: bool) -> None:
    """Look at sound devices, voice, models, words, disk, clock and database.

    Exits with 3 where something is missing.
    """
    from assistant.dialogue.conversation import interpreter_for
    from assistant.ear import open_recogniser
    from assistant.speech.doctor import examine
    from assistant.speech.microphone_check import check_microphone

    options: Options = context.obj["options"]
    site = options.load_site()
    click.echo("Looking at this machine ...", err=True)
    try:
        recogniser = open_recogniser(interpreter_for(site), said=site.sound.said)
    except KitchenError:
        recogniser = None
    now, sound = options.clock(site).now(), site.sound
    checks = (
        *examine(
            options.folder, None, site.kitchen.language, recogniser, now, sound.microphone, sound.speaker
        ),
        check_backup(options.folder, now),
    )
    if listen and not any(check.name == "microphone" and check.state == "missing" for check in checks):
        click.echo("Speak for four seconds, as you would while you work ...", err=True)
        checks = (*checks, check_microphone(sound.microphone))
    for check in checks:
        if context.obj["json"]:
            click.echo(json.dumps(asdict(check)))
            continue
        click.echo(f"{MARKS[check.state]} {check.name}: {check.says}")
        if check.fix:
            click.echo(as_called(f"        -> {check.fix}"))
    if any(check.state == "missing" for check in checks):
        context.exit(MissingError.exit_code)


def check_backup(folder: Path, now: datetime) -> Check:
    """Say when the last backup was made; one older than two days, or none, is a warning."""
    from assistant.logbook.care import load_care
    from assistant.speech.doctor import Check

    try:
        care = load_care(folder)
    except KitchenError as error:
        return Check("backup", "warning", str(error), "kitchen log care --backup-to FOLDER")
    if not care.backup_to:
        return Check(
            "backup", "warning", "no backup is made by itself",
            "kitchen log care --backup-to FOLDER, best on another disk",
        )  # fmt: skip
    last = care.last_backup()
    if last is None:
        says = f"none was made to {care.backup_to} yet, or it is out of reach"
        return Check("backup", "warning", says, "kitchen log nightly --now")
    says = f"last made {last.astimezone(now.tzinfo):%Y-%m-%d %H:%M} to {care.backup_to}"
    old = now - last > BACKUP_IS_OLD
    return Check("backup", "warning" if old else "ok", says, "kitchen log nightly --now" if old else "")
