"""``kitchen doctor``: what works on this machine, and what to do about what does not."""

from __future__ import annotations

import json
from dataclasses import asdict

import click

from assistant.options import Options

MARKS = {"ok": "ok     ", "warning": "WARNING", "missing": "MISSING"}


@click.command()
@click.option("--listen", is_flag=True, help="Also take four seconds of sound while you speak.")
@click.pass_context
def doctor(context: click.Context, listen: bool) -> None:
    """Look at sound devices, voice, models, words, disk, clock and database.

    Exits with 3 where something is missing.
    """
    from assistant.dialogue.conversation import interpreter_for
    from assistant.ear import open_recogniser
    from assistant.errors import KitchenError, MissingError
    from assistant.speech.doctor import examine
    from assistant.speech.microphone_check import check_microphone

    options: Options = context.obj["options"]
    site = options.load_site()
    click.echo("Looking at this machine ...", err=True)
    try:
        recogniser = open_recogniser(interpreter_for(site))
    except KitchenError:
        recogniser = None
    now, sound = options.clock(site).now(), site.sound
    checks = examine(
        options.folder, None, site.kitchen.language, recogniser, now, sound.microphone, sound.speaker
    )
    if listen:
        click.echo("Speak for four seconds, as you would while you work ...", err=True)
        checks = (*checks, check_microphone(sound.microphone))
    for check in checks:
        if context.obj["json"]:
            click.echo(json.dumps(asdict(check)))
            continue
        click.echo(f"{MARKS[check.state]} {check.name}: {check.says}")
        if check.fix:
            click.echo(f"        -> {check.fix}")
    if any(check.state == "missing" for check in checks):
        context.exit(MissingError.exit_code)
