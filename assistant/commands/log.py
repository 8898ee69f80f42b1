"""``kitchen log``: the log as text, spoken, verified."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from assistant.commands.log_care import CARE
from assistant.commands.log_copies import COPIES
from assistant.commands.show import entry_line
from assistant.errors import DamagedLogError, InputError, LogWriteError, MissingError, in_words
from assistant.options import Options
from assistant.renewing import telling

if TYPE_CHECKING:
    from assistant.dialogue.turn import Turn
    from assistant.logbook.views import Line


_KEPT_ELSEWHERE = ("backup", "restore", "care", "nightly", "head", "send")
"""Verbs whose files stand for the record: a trial's would be taken for it."""


@click.group(invoke_without_command=True)
@click.option("--day", default="", help="Local day, such as 2026-03-02 (default: today).")
@click.option("--failed", is_flag=True, help="Only readings that failed.")
@click.option("--unjudged", is_flag=True, help="Only readings that could not be judged.")
@click.option("--open", "only_open", is_flag=True, help="Only corrective actions still open, of any day.")
@click.pass_context
def log(context: click.Context, day: str, failed: bool, unjudged: bool, only_open: bool) -> None:
    """Show the log, play it, verify it."""
    if (verb := context.invoked_subcommand) is not None:
        if context.obj["options"].trial and verb in _KEPT_ELSEWHERE:
            raise InputError(f"what is only tried is not kept elsewhere: 'log {verb}' is not for --trial")
        return
    from assistant.logbook.query import Filter
    from assistant.logbook.store import open_views

    settings = context.obj
    options: Options = settings["options"]
    today = options.clock(options.load_site()).now().date()
    of_day = replace(Filter.on(_day(day) or today), failed=failed, unjudged=unjudged)
    wanted = Filter(open=True) if only_open else of_day
    with open_views(options.folder, progress=telling()) as views:
        lines = list(views.each(wanted))
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
    from assistant.logbook.unjudged import is_unjudged, why

    text = entry_line(line.now)
    if is_unjudged(line):
        text += f"  [{why(line.now)}]"
    if line.withdrawn:
        text += "  [struck]"
    elif line.amendments:
        was = f"{line.entry.subject} {line.entry.value or ''}".strip()
        text += f"  [corrected; first said: {was}]"
    if line.entry.clock_suspect:
        text += "  [clock in doubt]"
    if line.entry.clock_by_hand:
        text += "  [time given by hand]"
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
    if to is not None and to.suffix.lower() != ".wav":
        raise InputError(f"'{to.name}' must end in .wav: the sound is written as a WAV file.")
    from assistant.logbook.care import load_care
    from assistant.logbook.store import open_views
    from assistant.logbook.verify import verify
    from intents.en.spell import for_ear

    options: Options = settings["options"]
    open_views(options.folder, progress=telling()).close()
    first = verify(options.folder, load_care(options.folder).heads(), clips=False).first
    turn = _played_back(options, _day(day))
    if first:
        told = f"This log does not check out: {first.text}. "
        turn = turn.model_copy(update={"reply": told + turn.reply, "speech": for_ear(told) + turn.speech})
    click.echo(turn.model_dump_json() if settings["json"] else turn.reply)
    for line in _sound(turn.speech, to or options.folder / "playback.wav", asked=to is not None):
        click.echo(line, err=True)
    if first:
        raise DamagedLogError(f"The log is not whole. First fault: {first.text}.")


def _played_back(options: Options, day: date | None) -> Turn:
    """Return the turn that plays a day back; another day than today is named, with its date."""
    from assistant.kitchen import open_kitchen
    from intents.en.spell import for_ear
    from intents.hypotheses import Hypotheses

    words = "play back today's log"
    if day is not None and day != options.clock(options.load_site()).now().date():
        options = replace(options, at=f"{day}T23:59:59")
        words = f"play back {day:%A}'s log"
    with open_kitchen(options, begin=False) as kitchen:
        turn = kitchen.conversation.hear(Hypotheses.typed(words))
    if day is None:
        return turn
    dated = f"n {day:%A}, {day:%B} {day.day}"
    shown = turn.reply.replace(f"n {day:%A}", dated, 1)
    return turn.model_copy(
        update={"reply": shown, "speech": turn.speech.replace(f"n {day:%A}", for_ear(dated), 1)}
    )


def _sound(speech: str, target: Path, *, asked: bool) -> list[str]:
    """Write the sound, play it unless a file was ``asked`` for, and return what there is to say about it."""
    from assistant.audio.player import play_file
    from assistant.speech.voice import open_voice

    voice = open_voice()
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        written = voice.speak_to_file(speech, target)
    except OSError as fault:
        raise LogWriteError(f"The file {target} cannot be written ({in_words(fault)}).") from None
    finally:
        voice.close()
    if not written:
        why = f"There is no voice to speak with: {voice.why}. See: kitchen doctor"
        if asked:
            raise MissingError(why)
        return [why]
    told = [f"The sound is in {target.absolute()}"]
    if not asked and (played := play_file(target)).why:
        told.insert(0, f"It was not heard: {played.why}.")
    return told


for _verb in (*CARE, *COPIES):
    log.add_command(_verb)
