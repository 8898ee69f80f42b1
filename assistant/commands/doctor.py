"""``kitchen doctor``: what works on this machine, and what to do about what does not."""

from __future__ import annotations

import json
from dataclasses import asdict

import click

from assistant.options import Options

MARKS = {"ok": "ok     ", "warning": "WARNING", "missing": "MISSING"}


@click.command()
@click.pass_context
def doctor(context: click.Context) -> None:
    """Look at sound devices, voice, models, words, disk, clock and database.

    Exits with 3 where something is missing.
    """
    from assistant.dialogue.conversation import interpreter_for
    from assistant.ear import open_recogniser
    from assistant.errors import KitchenError, MissingError
    from assistant.speech.doctor import examine

    options: Options = context.obj["options"]
    site = options.load_site()
    click.echo("Looking at this machine ...", err=True)
    try:
        recogniser = open_recogniser(interpreter_for(site))
    except KitchenError:
        recogniser = None
    checks = examine(options.folder, None, site.kitchen.language, recogniser, options.clock(site).now())
    for check in checks:
        if context.obj["json"]:
            click.echo(json.dumps(asdict(check)))
            continue
        click.echo(f"{MARKS[check.state]} {check.name}: {check.says}")
        if check.fix:
            click.echo(f"        -> {check.fix}")
    if any(check.state == "missing" for check in checks):
        context.exit(MissingError.exit_code)
