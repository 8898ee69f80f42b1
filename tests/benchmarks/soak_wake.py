"""Misses of the wake phrase, by noise: clips that begin with it, through the real loop.

    uv run python -m tests.benchmarks.soak_wake --most 40

The committed clips, and of the hearing benchmark's cached speech what there is, at most so many of each in
each condition. False accepts are the soak's figure (tests/benchmarks/soak.py).
"""

from __future__ import annotations

import argparse
import random
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE, Samples
from assistant.dialogue.conversation import interpreter_for
from assistant.ear import open_recogniser
from assistant.live.events import Answered, Event
from assistant.site import load_site
from audio_fixtures.make_clips import read_lines
from audio_fixtures.voices import FOLDER, voices
from tests.benchmarks.hearing_conditions import CONDITIONS, Condition, disturb
from tests.benchmarks.hearing_report import wilson
from tests.benchmarks.hearing_speech import SEED, WAKE_PHRASE, plan
from tests.benchmarks.soak_sound import Run, VirtualSource

PERSON_LIKE = ("neural", "neural-accented")


@dataclass(frozen=True)
class Call:
    """A clip that begins with the wake phrase."""

    path: Path
    words: str
    person_like: bool


def calls(most: int) -> list[Call]:
    """Return the committed clips and the cached ones, at most ``most`` of each, drawn by a seed."""
    committed = [
        Call(FOLDER / line.file, line.text, voices()[line.voice].family in PERSON_LIKE)
        for line in read_lines()
        if line.text.lower().startswith(WAKE_PHRASE) and not line.file.startswith("pause/")
    ]
    cached = [
        Call(clip.path, clip.words, clip.voice.family in PERSON_LIKE)
        for clip in plan()
        if clip.wake and clip.path.is_file()
    ]
    rng = random.Random(SEED)
    return [call for group in (committed, cached) for call in rng.sample(group, min(most, len(group)))]


class Listener:
    """The program's loop, afresh for each call."""

    def __init__(self, engine: str, folder: Path) -> None:
        self._site = load_site()
        self._interpreter = interpreter_for(self._site)
        self._recogniser = open_recogniser(self._interpreter, engine, self._site.kitchen.wake_phrase)
        self._folder = folder

    def wakes(self, call: Call, condition: Condition) -> bool:
        """Play one call with a second of the noise before and two after it; tell whether it woke."""
        speech = read_sound(call.path).samples.astype(np.float32) / 32768
        sound = disturb(np.pad(speech, (RATE, 2 * RATE)), condition, call.path.stem)
        source = VirtualSource(_once(sound), len(sound) / RATE)
        place = Path(tempfile.mkdtemp(dir=self._folder))
        turns: list[Event] = []
        run = Run(self._site, self._interpreter, self._recogniser, source, place, turns.append)
        run.loop.run(lambda: bool(run.player.sounded))
        run.close()
        return bool(run.attention.woken) or any(isinstance(turn, Answered) for turn in turns)


def _once(sound: Samples) -> Iterator[Samples]:
    yield sound


def main() -> None:
    """Read the options, run, and print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.soak_wake", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("--most", type=int, default=40, help="clips of each kind (default: 40)")
    parser.add_argument("--engine", default="", help="engine or model (default: the program's)")
    options = parser.parse_args()
    chosen = calls(options.most)
    print("| condition | misses, voices like a person's | misses, robotic voices |\n| --- | ---: | ---: |")
    with tempfile.TemporaryDirectory() as folder:
        listener = Listener(options.engine, Path(folder))
        for condition in CONDITIONS:
            missed: Counter[bool] = Counter()
            for call in chosen:
                missed[call.person_like] += not listener.wakes(call, condition)
            columns = [_share(missed[k], sum(c.person_like is k for c in chosen)) for k in (True, False)]
            print(f"| {condition.name} | {' | '.join(columns)} |", flush=True)


def _share(missed: int, count: int) -> str:
    low, high = wilson(missed, count)
    return f"{missed} of {count} ({100 * low:.0f}–{100 * high:.0f} %)"


if __name__ == "__main__":
    main()
