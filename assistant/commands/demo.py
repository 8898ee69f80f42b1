"""``kitchen demo``: a short scripted shift, heard from sound files through the real recogniser."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import dataclass, replace
from importlib.resources import files
from pathlib import Path
from typing import Any

import click

from assistant.audio.sound_files import read_sound
from assistant.commands.show import called, show_turn
from assistant.dialogue.turn import Turn
from assistant.ear import hear, open_recogniser
from assistant.errors import MissingError
from assistant.kitchen import Kitchen, open_kitchen
from assistant.logbook.database import FILE_NAME
from assistant.speech.recogniser import Recogniser
from assistant.speech.voice import Voice, VoiceError, open_voice

CARRIED = Path(__file__).resolve().parent / "demo_clips"
CHECKOUT = Path(__file__).resolve().parents[2] / "audio_fixtures" / "demo"
CLIPS = CARRIED if CARRIED.is_dir() else CHECKOUT
"""The demo's clips: carried by the installed package, else those of the checkout."""
OWN_SITE = Path(__file__).resolve().parent / "demo_site.toml"
YES = "setup_yes"
"""The clip that answers when a number is read back and asked about."""


@click.command()
@click.option("--engine", default="", help="Recogniser: whisper or vosk (default: the best installed).")
@click.option("--play/--no-play", default=True, help="Play the answers where a speaker exists.")
@click.pass_obj
def demo(settings: dict[str, Any], engine: str, play: bool) -> None:
    """Run a scripted shift from sound: ask, set up, fail, recheck, play the log back."""
    if not CLIPS.is_dir():
        raise MissingError(
            f"The demo's clips are not at {CLIPS}; install the program again with all it needs."
        )
    options = settings["options"]
    if options.state is None:
        options = replace(options, state=Path("kitchen-demo"))
    if options.site is None:
        options = replace(options, site=OWN_SITE)

    def say(text: str) -> None:
        click.echo(text, err=settings["json"])

    say("Loading the speech model ...")
    with open_kitchen(options) as kitchen:
        recogniser = open_recogniser(
            kitchen.conversation.interpreter, engine, kitchen.site.kitchen.wake_phrase
        )
        say(f"Listening with {recogniser.name} ({recogniser.model}).")
        say("The speech you hear is synthetic, the kitchen is invented.")
        answers = options.folder / "answers"
        answers.mkdir(parents=True, exist_ok=True)
        voice = open_voice()
        shift = _Shift(kitchen, recogniser, voice, answers, settings["json"], play, say)
        for scene in tomllib.loads((files("assistant.commands") / "demo.toml").read_text("utf-8"))["scene"]:
            shift.play_scene(scene["title"], scene["clips"])
        recogniser.close()
        voice.close()
        _closing(kitchen, options.folder, answers, voice, say)


@dataclass
class _Shift:
    """The scripted shift as it goes on."""

    kitchen: Kitchen
    recogniser: Recogniser
    voice: Voice
    answers: Path
    as_json: bool
    play: bool
    say: Callable[[str], None]
    number: int = 0

    def play_scene(self, title: str, clips: list[str]) -> None:
        """Hear the clips of one scene as one conversation; a read-back number gets its yes."""
        self.say(f"\n== {title} ==")
        self.kitchen.conversation.fresh()
        for name in clips:
            turn = self._hear(name)
            if turn.asks and turn.intent == "reading" and not turn.entries:
                self._hear(YES)

    def _hear(self, name: str) -> Turn:
        self.number += 1
        utterance = read_sound(CLIPS / f"{name}.flac", said_at=self.kitchen.clock.now())
        turn = hear(self.kitchen.conversation, self.recogniser, utterance, self.kitchen.log)
        self.say("")
        show_turn(turn, self.as_json)
        self._speak(turn, self.answers / f"{self.number:02d}_{name}.wav")
        return turn

    def _speak(self, turn: Turn, target: Path) -> None:
        try:
            spoken = bool(turn.speech) and self.voice.speak_to_file(turn.speech, target)
        except VoiceError as fault:
            self.say(f"({fault})")
            return
        if spoken and self.play:
            from assistant.audio.player import play_file

            play_file(target)


def _closing(kitchen: Kitchen, folder: Path, answers: Path, voice: Voice, say: Callable[[str], None]) -> None:
    readings = sum(1 for line in kitchen.log.lines() if line.entry.kind == "reading")
    say(f"\nThe log has {readings} readings: {folder.resolve() / FILE_NAME}")
    say(f"What was said, as kept clips: {folder.resolve() / 'clips'}")
    say(f"The spoken answers: {answers.resolve()}" + (f" (none: {voice.why})" if voice.why else ""))
    say(f"\nNext, with a microphone: {called()} listen")
    say(f'Or typed: {called()} --state {folder} ask "can I thaw chicken on the counter"')
    say(f"Look at the log: {called()} --state {folder} log")
