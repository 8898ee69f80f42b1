"""``kitchen demo``: a short scripted shift, heard from sound files through the real recogniser."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Any

import click

from assistant.audio.sound_files import read_sound
from assistant.commands.show import show_turn
from assistant.ear import hear, open_recogniser
from assistant.errors import MissingError
from assistant.kitchen import Kitchen, open_kitchen
from assistant.logbook.database import FILE_NAME
from assistant.speech.recogniser import Recogniser
from assistant.speech.voice import Voice, VoiceError, open_voice

CLIPS = Path(__file__).resolve().parents[2] / "audio_fixtures" / "demo"


@click.command()
@click.option("--engine", default="", help="Recogniser: whisper or vosk (default: the best installed).")
@click.option("--play/--no-play", default=True, help="Play the answers where a speaker exists.")
@click.pass_obj
def demo(settings: dict[str, Any], engine: str, play: bool) -> None:
    """Run a scripted shift from sound: ask, set up, fail, recheck, play the log back."""
    if not CLIPS.is_dir():
        raise MissingError(
            f"The demo's clips are not at {CLIPS}; run the demo from a checkout of the project."
        )
    options = settings["options"]
    if options.state is None:
        options = replace(options, state=Path("kitchen-demo"))
    _say("Loading the speech model ...", settings)
    with open_kitchen(options) as kitchen:
        recogniser = open_recogniser(kitchen.conversation.interpreter, engine)
        _say(
            f"Listening with {recogniser.name} ({recogniser.model}). "
            "The speech is synthetic, the kitchen invented.",
            settings,
        )
        voice = open_voice()
        answers = options.folder / "answers"
        answers.mkdir(parents=True, exist_ok=True)
        number = 0
        for scene in tomllib.loads((files("assistant.commands") / "demo.toml").read_text("utf-8"))["scene"]:
            _say(f"\n== {scene['title']} ==", settings)
            kitchen.conversation.fresh()
            for name in scene["clips"]:
                number += 1
                _step(
                    kitchen,
                    recogniser,
                    voice,
                    CLIPS / f"{name}.flac",
                    answers / f"{number:02d}_{name}.wav",
                    settings,
                    play,
                )
        recogniser.close()
        voice.close()
        _closing(kitchen, options.folder, answers, voice, settings)


def _say(text: str, settings: dict[str, Any]) -> None:
    click.echo(text, err=settings["json"])


def _step(
    kitchen: Kitchen,
    recogniser: Recogniser,
    voice: Voice,
    clip: Path,
    answer: Path,
    settings: dict[str, Any],
    play: bool,
) -> None:
    turn = hear(kitchen.conversation, recogniser, read_sound(clip, said_at=kitchen.clock.now()), kitchen.log)
    _say("", settings)
    show_turn(turn, settings["json"])
    try:
        spoken = bool(turn.speech) and voice.speak_to_file(turn.speech, answer)
    except VoiceError as fault:
        _say(f"({fault})", settings)
        return
    if spoken and play:
        from assistant.audio.player import play_file

        play_file(answer)


def _closing(kitchen: Kitchen, folder: Path, answers: Path, voice: Voice, settings: dict[str, Any]) -> None:
    readings = sum(1 for line in kitchen.log.lines() if line.entry.kind == "reading")
    _say(f"\nThe log has {readings} readings: {folder.resolve() / FILE_NAME}", settings)
    _say(f"What was said, as kept clips: {folder.resolve() / 'clips'}", settings)
    _say(
        f"The spoken answers: {answers.resolve()}" + (f" (none: {voice.why})" if voice.why else ""), settings
    )
    _say("\nNext, with a microphone: uv run kitchen listen", settings)
    _say(f'Or typed: uv run kitchen --state {folder} ask "can I thaw chicken on the counter"', settings)
    _say(f"Look at the log: uv run kitchen --state {folder} log", settings)
