"""``kitchen hear-check``: say a dozen sentences, and learn how well this place hears and what to move."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from assistant.commands.show import tell_example
from assistant.options import Options

if TYPE_CHECKING:
    from assistant.hear_check.measure import Figures, Sound
    from assistant.hear_check.prompts import Prompt
    from assistant.site import Site

Listen = Callable[["Prompt"], "Sound"]
MOST = 40


@click.command("hear-check")
@click.option("--microphone", default="", help="Its full name (see: kitchen doctor; default: the site's).")
@click.option("--speaker", default="", help="Where the sentences are spoken, by its full name.")
@click.option("--engine", default="", help="Recogniser: whisper or vosk (default: the best installed).")
@click.option("--count", type=click.IntRange(1, MOST), default=12, show_default=True, help="Sentences.")
@click.option("--silent", is_flag=True, help="Only show the sentences; do not speak them.")
@click.option("--list", "only_list", is_flag=True, help="Only print the sentences, to record them.")
@click.option(
    "--from",
    "recorded",
    multiple=True,
    type=click.Path(path_type=Path),
    help="A sound file in place of the microphone; once a sentence, in their order.",
)
@click.pass_context
def hear_check(
    context: click.Context,
    microphone: str,
    speaker: str,
    engine: str,
    count: int,
    silent: bool,
    only_list: bool,
    recorded: tuple[Path, ...],
) -> None:
    """Say what it asks for, where you stand at work. It tells what it heard, and what to move.

    Nothing is logged, and neither sound nor words are kept. Exits with 1 where something should change.
    """
    from assistant.audio.microphone_here import RECORDED, find_microphone
    from assistant.dialogue.conversation import interpreter_for
    from assistant.ear import open_recogniser
    from assistant.hear_check.findings import findings
    from assistant.hear_check.measure import measure
    from assistant.hear_check.prompts import prompts

    options: Options = context.obj["options"]
    site = options.load_site()
    tell_example(options)
    interpreter, phrase = interpreter_for(site), site.kitchen.wake_phrase
    asked = prompts(site, interpreter, len(recorded) or count)
    if only_list:
        for number, prompt in enumerate(asked, 1):
            click.echo(f"{number} {prompt.words}")
        return
    figures: list[Figures] = []
    sounds = _recorded(recorded) if recorded else None
    if sounds is None:
        find_microphone(microphone or site.sound.microphone, RECORDED)  # says at once what is missing
    with ExitStack() as held:
        click.echo("Loading the speech model ...", err=True)
        recogniser = held.enter_context(
            closing(open_recogniser(interpreter, engine, phrase, site.sound.said))
        )
        knows = not {lack.word for lack in recogniser.lacking() if not lack.learnt} & set(
            phrase.lower().split()
        )
        listen = sounds or _live(site, held, microphone, speaker, silent)
        for number, prompt in enumerate(asked, 1):
            click.echo(f"{number} of {len(asked)}, please say: {prompt.words}", err=True)
            figures.append(measure(prompt, listen(prompt), recogniser, interpreter, phrase))
            _tell(figures[-1], context.obj["json"])
    found = findings(figures, phrase, knows)
    for finding in found:
        if context.obj["json"]:
            click.echo(json.dumps(asdict(finding)))
            continue
        click.echo(f"{'CHANGE' if finding.fix else 'ok    '} {finding.name}: {finding.says}")
        if finding.fix:
            click.echo(f"       -> {finding.fix}")
    if any(finding.fix for finding in found):
        context.exit(1)


def _tell(figures: Figures, as_json: bool) -> None:
    if as_json:
        click.echo(json.dumps(asdict(figures)))
        return
    marks = [
        mark
        for mark, said in (
            ("wake phrase missed", figures.called is False),
            ("number wrong", figures.number is False),
            ("would ask", bool(figures.number) and not figures.sure),
            ("overdriven", figures.clipped),
        )
        if said
    ]
    levels = f"{figures.speech_dbfs:.0f} dB, noise {figures.noise_dbfs:.0f} dB"
    called = figures.called and figures.number is None  # the words of a phrase alone tell nothing
    what = "heard you call" if called else f'heard "{figures.heard}"'
    click.echo(f"{what}: {', '.join(marks) or 'right'} ({levels})")


def _recorded(paths: tuple[Path, ...]) -> Listen:
    """Take one file a prompt, as if it came from the microphone."""
    import numpy as np

    from assistant.audio.frames import SampleSource
    from assistant.audio.no_speech import refuse_without_sound
    from assistant.audio.sound_files import read_sound
    from assistant.audio.utterance import RATE
    from assistant.hear_check.measure import listen_once

    utterances = [read_sound(path) for path in paths]
    for path, utterance in zip(paths, utterances, strict=True):
        refuse_without_sound(utterance, str(path))
    sounds: Iterator[Any] = iter([utterance.samples for utterance in utterances])

    def listen(_: Prompt) -> Sound:
        silence = np.zeros(RATE, np.int16)
        return listen_once(SampleSource(np.concatenate([next(sounds), silence])))

    return listen


def _live(site: Site, held: ExitStack, microphone: str, speaker: str, silent: bool) -> Listen:
    """Speak or show each prompt, and listen at the microphone behind it."""
    from assistant.audio.microphone import Microphone
    from assistant.audio.microphone_here import refuse_mute
    from assistant.audio.player import SilentPlayer, SpeakerPlayer
    from assistant.hear_check.measure import listen_once
    from assistant.live.speaking import Mouth
    from assistant.speech.voice import SilentVoice, VoiceSettings, open_voice

    sound = site.sound
    microphone, speaker = microphone or sound.microphone, speaker or sound.speaker
    spoken = VoiceSettings(
        language=site.kitchen.language, words_a_minute=sound.words_a_minute, voice=sound.voice
    )
    voice = SilentVoice() if silent else open_voice(spoken)
    player = SilentPlayer() if silent else SpeakerPlayer(speaker)
    mouth = Mouth(voice, player, time.monotonic, spoken)
    held.callback(mouth.close)
    source = held.enter_context(closing(Microphone(microphone)))
    source.start()

    def listen(prompt: Prompt) -> Sound:
        mouth.say(prompt.words)
        while True:  # what comes in while the program itself speaks is thrown away
            block = source.read(0.25)
            if not mouth.speaking and (block is None or not mouth.hears_itself(block)):
                click.echo("Listening.", err=True)
                sound = listen_once(source)
                if not len(sound.speech):
                    refuse_mute(sound.before, source.problem)
                return sound

    return listen
