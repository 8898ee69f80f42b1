"""``kitchen listen``: hands-free, from the microphone to the speaker."""

from __future__ import annotations

import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, contextmanager
from typing import TYPE_CHECKING, Any

import click

from assistant.commands.show import as_called, tell_start
from assistant.dialogue.answers import load_all
from assistant.kitchen import Kitchen, open_kitchen
from assistant.live.events import Answered, Event, Level, StateChanged
from assistant.live.keys import Keys
from assistant.live.loop import LiveLoop
from assistant.live.mute import telling_mute
from assistant.live.sign import SignOfLife
from assistant.service_unit import SIGN_S, tell_manager

if TYPE_CHECKING:
    from assistant.audio.stray_lines import StrayLines


@click.command()
@click.option("--microphone", default="", help="Its full name (see: kitchen doctor; default: the site's).")
@click.option("--speaker", default="", help="Its full name (default: the site's).")
@click.option("--engine", default="", help="Recogniser: whisper or vosk (default: the best installed).")
@click.option("--plain", is_flag=True, help="Print lines instead of the screen.")
@click.pass_obj
def listen(settings: dict[str, Any], microphone: str, speaker: str, engine: str, plain: bool) -> None:
    """Listen and answer until Ctrl-C. A key (or foot switch that types one) wakes it, or stops it talking."""
    from assistant.audio.microphone import Microphone
    from assistant.audio.microphone_here import MUTE, TYPED, find_microphone
    from assistant.audio.player import SpeakerPlayer
    from assistant.audio.stray_lines import StrayLines
    from assistant.ear import Opening
    from assistant.live.speaking import Mouth
    from assistant.speech.voice import VoiceSettings, open_voice

    began = time.monotonic()
    signal.signal(signal.SIGTERM, signal.default_int_handler)  # a service manager ends it like Ctrl-C
    options = settings["options"]
    site = options.load_site()
    language, sound = site.kitchen.language, site.sound
    microphone, speaker = microphone or sound.microphone, speaker or sound.speaker
    spoken = VoiceSettings(
        language=language,
        words_a_minute=sound.words_a_minute,
        voice=sound.voice,
        said=tuple(sound.said.items()),
    )
    with ExitStack() as held:
        stray = held.enter_context(StrayLines())
        opening = held.enter_context(Opening(engine, language))
        kitchen = held.enter_context(open_kitchen(options))
        kitchen.conversation.go_on()
        load_all()
        find_microphone(microphone, TYPED)  # says at once what is missing, and what to do
        tell_start(kitchen)
        click.echo("Loading the speech model ...", err=True)
        source = held.enter_context(closing(Microphone(microphone)))
        source.start()  # beside the loading: it takes a second
        mouth = Mouth(open_voice(spoken), SpeakerPlayer(speaker), time.monotonic, spoken)
        held.callback(mouth.close)
        recogniser = opening.recogniser(
            kitchen.conversation.interpreter, kitchen.site.kitchen.wake_phrase, sound.said
        )
        held.callback(recogniser.close)
        with _watcher(kitchen, settings, plain, stray) as watch, Keys() as keys:
            heard = telling_mute(watch, lambda: click.echo(as_called(MUTE), err=True))
            sign = SignOfLife(options.folder, kitchen.clock.now, _ready(recogniser.name, began, heard))
            held.callback(sign.stop)
            loop = LiveLoop(kitchen, recogniser, source, mouth, sign)

            signed = 0.0

            def stopped() -> bool:
                nonlocal signed
                if time.monotonic() - signed >= SIGN_S:
                    signed = time.monotonic()
                    tell_manager("WATCHDOG=1")
                if keys.pressed():
                    loop.press()
                return False

            try:
                loop.run(stopped)
            except KeyboardInterrupt:
                click.echo("\nStopped. Everything said is in the log.", err=True)
        if told := stray.told():
            click.echo(told, err=True)


def _ready(name: str, began: float, watch: Callable[[Event], None]) -> Callable[[Event], None]:
    """Say that it listens when the first sound has come, and pass every event on."""
    told = False

    def tell(event: Event) -> None:
        nonlocal told
        if not told and isinstance(event, Level):
            told = True
            tell_manager("READY=1")
            click.echo(
                f"Listening with {name} after {time.monotonic() - began:.1f} s. Ctrl-C ends.", err=True
            )
        watch(event)

    return tell


@contextmanager
def _watcher(
    kitchen: Kitchen, settings: dict[str, Any], plain: bool, stray: StrayLines
) -> Iterator[Callable[[Event], None]]:
    if settings["json"] or plain or not sys.stdout.isatty():
        yield _telling(_json if settings["json"] else _lines)
        return
    from assistant.live.view import TerminalView

    with TerminalView(kitchen, stray=stray) as view:
        yield view.show


def _json(event: Event) -> None:
    if isinstance(event, Answered):
        timings = {
            **event.turn.timings_ms,
            **{f"live_{key}": value for key, value in event.timings_ms.items()},
        }
        click.echo(event.turn.model_copy(update={"timings_ms": timings}).model_dump_json())
        sys.stdout.flush()


def _lines(event: Event) -> None:
    from assistant.commands.show import show_turn

    if isinstance(event, Answered):
        show_turn(event.turn, as_json=False)
    sys.stdout.flush()


def _telling(watch: Callable[[Event], None]) -> Callable[[Event], None]:
    """Pass events on; tell each trouble once, when it begins, and that the microphone is back."""
    state = ""

    def tell(event: Event) -> None:
        nonlocal state
        if isinstance(event, StateChanged):
            if event.note and event.state != state:
                click.echo(f"{event.state}: {event.note}", err=True)
            elif state == "no microphone" and event.state != state:
                click.echo("The microphone is back.", err=True)
            state = event.state
        watch(event)

    return tell
