"""``kitchen hear``: sound files through the real recogniser, one turn a file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from assistant.audio.no_speech import refuse_without_sound, refuse_without_speech
from assistant.audio.sound_files import read_sound
from assistant.commands.show import sentence, show_turn, tell_start
from assistant.ear import hear as hear_utterance
from assistant.ear import open_recogniser
from assistant.errors import InputError
from assistant.kitchen import open_kitchen


@click.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--fresh", is_flag=True, help="Make each file a conversation of its own.")
@click.option("--engine", default="", help="Recogniser: whisper or vosk (default: the best installed).")
@click.pass_context
def hear(context: click.Context, files: tuple[Path, ...], fresh: bool, engine: str) -> None:
    """Take one turn a sound file (WAV, FLAC or OGG), in order, as one conversation."""
    settings: dict[str, Any] = context.obj
    faults, heard = 0, False
    with open_kitchen(settings["options"]) as kitchen:
        recogniser = open_recogniser(
            kitchen.conversation.interpreter,
            engine,
            kitchen.site.kitchen.wake_phrase,
            kitchen.site.sound.said,
        )
        kitchen.conversation.go_on()
        for path in files:
            if fresh:
                kitchen.conversation.fresh()
            try:
                utterance = read_sound(path, said_at=kitchen.clock.now())
                refuse_without_sound(utterance, str(path))
                turn = hear_utterance(kitchen.conversation, recogniser, utterance, kitchen.log)
                if not turn.heard:
                    refuse_without_speech(utterance, str(path))
            except InputError as fault:
                click.echo(sentence(fault), err=True)
                faults += 1
                continue
            show_turn(turn, settings["json"], f"{path.name}: heard")
            heard = True
        recogniser.close()
        if heard:
            tell_start(kitchen)
    if faults:
        context.exit(InputError.exit_code)
