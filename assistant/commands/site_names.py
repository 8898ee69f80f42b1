"""``kitchen site names``: how the streaming model takes the site's own names to be said, shown and spoken."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from assistant.commands.show import tell
from assistant.errors import InputError, LogWriteError, MissingError, in_words


@click.command()
@click.option("--to", type=click.Path(path_type=Path), help="Write the sound there (WAV), and play nothing.")
@click.pass_obj
def names(settings: dict[str, Any], to: Path | None) -> None:
    """Say the names that were learnt by rule. To correct one: "said" under [sound] in the site file."""
    if to is not None and to.suffix.lower() != ".wav":
        raise InputError(f"'{to.name}' must end in .wav: the sound is written as a WAV file.")
    from assistant.dialogue.conversation import interpreter_for
    from assistant.ear import own_names
    from assistant.speech.taught_words import unknown
    from models.manifest import shipped_folder

    site = settings["options"].load_site()
    own = own_names(interpreter_for(site, "en"), site.sound.said)
    learnt = unknown(shipped_folder() / "kitchen_en" / "graph", own)
    letters = dict(own)
    for word, phones in learnt.items():
        spelled = f", as {letters[word]}" if letters[word] != word else ""
        tell(settings["json"], f"{word}: {' '.join(phones)}{spelled}", name=word, phones=list(phones))
    if not learnt:
        tell(settings["json"], "The streaming model knows every word of the site's names.", names=0)
        return
    _speak(", ".join(letters[word] for word in learnt), to)
    click.echo('One is wrong? In the site file, under [sound]: said = { siobhan = "shivawn" }', err=True)


def _speak(text: str, to: Path | None) -> None:
    import tempfile

    from assistant.audio.player import play_file
    from assistant.speech.voice import VoiceSettings, open_voice

    voice = open_voice(VoiceSettings(words_a_minute=130))
    try:
        with tempfile.TemporaryDirectory() as folder:
            target = to or Path(folder) / "names.wav"
            if not voice.speak_to_file(text, target):
                raise MissingError(f"There is no voice to speak with: {voice.why}. See: kitchen doctor")
            if to is None and (played := play_file(target)).why:
                click.echo(f"It was not heard: {played.why}. Write it to a file with --to.", err=True)
    except OSError as fault:
        raise LogWriteError(f"The file {to} cannot be written ({in_words(fault)}).") from None
    finally:
        voice.close()
