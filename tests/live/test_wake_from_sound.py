"""The wake phrase from sound, through the whole loop with the default recogniser: near misses do nothing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE, Samples
from assistant.ear import open_recogniser
from assistant.live.events import Answered, Event
from assistant.site import Site
from assistant.speech.recogniser import Recogniser
from intents.interpret import Interpreter
from tests.benchmarks.soak_sound import Run, VirtualSource

pytestmark = pytest.mark.sound
CLIPS = Path(__file__).resolve().parents[2] / "audio_fixtures"
NEAR = sorted((CLIPS / "near_wake").glob("*.flac"))


@pytest.fixture(scope="module")
def recogniser(site: Site, interpreter: Interpreter) -> Iterator[Recogniser]:
    """The default recogniser, loaded once, listening for the example kitchen's phrase."""
    ear = open_recogniser(interpreter, "", site.kitchen.wake_phrase)
    yield ear
    ear.close()


def listen(clip: Path, site: Site, interpreter: Interpreter, ear: Recogniser, state: Path) -> tuple[int, Run]:
    """Let the loop hear one clip; return how many turns it took."""

    def sound() -> Iterator[Samples]:
        yield np.pad(read_sound(clip).samples, (RATE, 2 * RATE))

    events: list[Event] = []
    run = Run(site, interpreter, ear, VirtualSource(sound(), 60.0), state, events.append)
    run.loop.run()
    return sum(isinstance(event, Answered) for event in events), run


@pytest.mark.parametrize("clip", NEAR, ids=lambda clip: clip.stem)
def test_near_misses_do_nothing(
    clip: Path, site: Site, interpreter: Interpreter, recogniser: Recogniser, tmp_path: Path
) -> None:
    """ "Hey Karen" and "in the kitchen" neither wake it nor sound, nor leave anything in the log."""
    turns, run = listen(clip, site, interpreter, recogniser, tmp_path)
    assert (turns, run.player.sounded, run.log.views.count()) == (0, [], 0)
    run.close()


@pytest.mark.parametrize("clip", ["wake_cook_ground_beef", "wake_setup_quat_200", "wake_manager_failed"])
def test_the_phrase_wakes_it(
    clip: str, site: Site, interpreter: Interpreter, recogniser: Recogniser, tmp_path: Path
) -> None:
    """With the phrase before it, a command is taken and answered."""
    path = CLIPS / "demo" / f"{clip}.flac"
    turns, run = listen(path, site, interpreter, recogniser, tmp_path)
    assert turns == 1
    assert run.player.sounded
    run.close()
