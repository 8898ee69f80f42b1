"""``kitchen log``: the log as text, spoken, verified."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import click

from assistant.commands.show import entry_line
from assistant.errors import InputError, LogWriteError, MissingError
from assistant.kitchen import Options, open_kitchen
from assistant.logbook.query import Filter
from assistant.logbook.views import Line
from intents.hypotheses import Hypotheses


@click.group(invoke_without_command=True)
@click.option("--day", default="", help="Local day, such as 2026-03-02 (default: today).")
@click.option("--failed", is_flag=True, help="Only readings that failed.")
@click.option("--open", "only_open", is_flag=True, help="Only corrective actions still open, of any day.")
@click.pass_context
def log(context: click.Context, day: str, failed: bool, only_open: bool) -> None:
    """Show the log, play it, verify it."""
    if context.invoked_subcommand is not None:
        return
    settings = context.obj
    with open_kitchen(settings["options"]) as kitchen:
        wanted = (
            Filter(open=True)
            if only_open
            else replace(Filter.on(_day(day) or kitchen.log.today()), failed=failed)
        )
        lines = kitchen.log.lines(wanted)
    if settings["json"]:
        for line in lines:
            click.echo(line.now.model_copy(update={"hash": line.entry.hash}).model_dump_json())
        return
    for line in lines:
        click.echo(line_text(line))
    if not lines:
        click.echo("Nothing logged that fits.")


def _day(text: str) -> date | None:
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(f"'{text}' is no day; write one like 2026-03-02.") from None


def line_text(line: Line) -> str:
    """Return one line of the log with what became of it."""
    text = entry_line(line.now)
    if line.withdrawn:
        text += "  [struck]"
    elif line.amendments:
        was = f"{line.entry.subject} {line.entry.value or ''}".strip()
        text += f"  [corrected; first said: {was}]"
    if line.open:
        text += "  [open]"
    elif line.closed_by:
        text += f"  [closed by #{line.closed_by}]"
    return text


@log.command()
@click.option("--to", type=click.Path(path_type=Path), help="Write the sound to a WAV file.")
@click.option("--day", default="", help="Local day (default: today).")
@click.pass_obj
def play(settings: dict[str, Any], to: Path | None, day: str) -> None:
    """Speak the day's log: fails and open items first."""
    from assistant.speech.voice import open_voice

    options: Options = settings["options"]
    if day:
        options = replace(options, at=f"{_day(day)}T23:59:59")
    with open_kitchen(options) as kitchen:
        turn = kitchen.conversation.hear(Hypotheses.typed("play back today's log"))
    click.echo(turn.model_dump_json() if settings["json"] else turn.reply)
    voice = open_voice()
    try:
        target = to or options.folder / "playback.wav"
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            written = voice.speak_to_file(turn.speech, target)
        except OSError as fault:
            raise LogWriteError(f"The file {target} cannot be written ({fault.strerror}).") from None
        if to is not None and not written:
            raise MissingError(f"There is no voice to speak with: {voice.why}. See: kitchen doctor")
        if to is None and written:
            from assistant.audio.player import play_file

            play_file(target)
    finally:
        voice.close()
