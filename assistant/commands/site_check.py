"""``kitchen site check``: is the site file right, and do the ears know its names?"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from assistant.commands.show import counted, tell, tell_example
from assistant.errors import MissingError
from assistant.options import Options

if TYPE_CHECKING:
    from assistant.hear_check.own_names import Hear
    from assistant.site import Site
    from intents.hypotheses import Hypotheses
    from intents.interpret import Interpreter

SPEEDS = (140, 165)
"""Words a minute at which each name is said."""


@click.command()
@click.option("--engine", default="", help="Recogniser: whisper or vosk (default: the best installed).")
@click.pass_context
def check(context: click.Context, engine: str) -> None:
    """Read the site file; then say its names in the program's own voice, and see what the ears make of them.

    A name that is not known is told with what to write. Nothing is logged. Exits with 1 where there is one.
    """
    from assistant.dialogue.conversation import interpreter_for
    from assistant.hear_check.own_names import advice, doubtful, own_names, tried
    from assistant.speech.taught_words import known_words
    from intents.hypotheses import Hypotheses
    from models.manifest import shipped_folder

    settings: dict[str, Any] = context.obj
    options: Options = settings["options"]
    site = options.load_site()
    interpreter, names = interpreter_for(site), list(own_names(site))
    english = site.kitchen.language == "en"
    known = {*interpreter.lexicon.finder.words}
    known |= known_words(shipped_folder() / "kitchen_en" / "graph") if english else set()
    typed = [tried(own, lambda sentence: [Hypotheses.typed(sentence)], interpreter) for own in names]
    unknown = [one for one in typed if one.heard]
    aloud = [one.own for one in typed if not one.heard and doubtful(one.own, known)]
    tell_example(options)
    right = "The site file is right. " if options.site_file else ""
    click.echo(
        f"{right}Of {counted(len(names), 'name')} {len(aloud)} may be new to the ears"
        f"{': saying them, which takes some seconds each ...' if aloud else '.'}",
        err=True,
    )
    if aloud:
        with _listening(site, interpreter, engine) as hear:
            unknown += [one for own in aloud if (one := tried(own, hear, interpreter)).heard]
    for one in unknown:
        heard = " and ".join(f'"{each}"' for each in one.heard if each) or "nothing"
        fix = advice(one, known)
        text = f'CHANGE {one.own.name}: "{one.own.sentence}" was heard as {heard}\n       -> {fix}'
        tell(settings["json"], text, name=one.own.name, heard=one.heard, fix=fix)
    if unknown:
        context.exit(1)
    tell(settings["json"], "Every name was understood.", names=len(names), unknown=0)


@contextmanager
def _listening(site: Site, interpreter: Interpreter, engine: str) -> Iterator[Hear]:
    """Give a function that says a sentence and hears it; raises ``MissingError`` without a voice."""
    import numpy as np

    from assistant.audio.sound_files import resample
    from assistant.audio.utterance import Utterance
    from assistant.ear import open_recogniser
    from assistant.speech.recogniser import recognise
    from assistant.speech.voice import VoiceSettings, open_voice

    sound = site.sound
    spoken = VoiceSettings(language=site.kitchen.language, voice=sound.voice, said=tuple(sound.said.items()))
    with closing(open_voice(spoken)) as voice:
        if voice.why:
            raise MissingError(f"the names cannot be said, without a voice: {voice.why}; see: kitchen doctor")
        with closing(open_recogniser(interpreter, engine, "", sound.said)) as recogniser:

            def hear(sentence: str) -> list[Hypotheses]:
                said = (voice.samples(sentence, replace(spoken, words_a_minute=speed)) for speed in SPEEDS)
                waves = (samples.astype(np.float32) / np.float32(32_768) for samples in said)
                return [recognise(recogniser, Utterance(resample(wave, voice.rate))) for wave in waves]

            yield hear
