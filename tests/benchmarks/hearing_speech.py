"""The benchmark's speech: who says which sentence, spoken once and kept in the platform's cache folder.

All of it is synthetic. Run it where the synthesisers are installed (see audio_fixtures/make_clips.py)::

    VENV/bin/python -m tests.benchmarks.hearing_speech --styles package/voices

It can be stopped at any time and goes on where it was. The first rounds already hold every sentence.
"""

from __future__ import annotations

import argparse
import csv
import hashlib
import random
import sys
from dataclasses import dataclass
from pathlib import Path

import platformdirs

from audio_fixtures.voices import FOLDER, RATE, Speaker, Voice, voices

TABLE = Path(__file__).with_name("hearing_commands.csv")
SEED = 20261125
SPEEDS = (0.9, 1.0, 1.0, 1.1, 1.2)
WAKE_PHRASE = "hey kitchen"
WITH_WAKE_PHRASE = 1 / 3
ROUNDS_WITH_NUMBER = 4
ROUNDS_WITHOUT = 2
"""A round is one voice of each half, so a sentence with a number is said by eight voices, others by four."""
UNHEARD = {
    "tune": ("af_kore", "am_eric"),
    "report": ("am_michael", "bf_emma", "bm_george", "joe"),
}
"""Voices that had no part in training our own model (its card names them); only these may judge it."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """One row of ``hearing_commands.csv``. A semicolon parts several values, subjects, intents (any of
    which is right) and the typed turns that come ``before``. ``split`` keeps a third of the wording
    (``held``) away from whoever tunes the matcher.
    """

    id: str
    kind: str
    topic: str
    split: str
    text: str
    before: str
    intent: str
    subject: str
    values: str
    unit: str
    style: str


@dataclass(frozen=True, slots=True)
class Clip:
    """A sentence as one voice says it, with or without the wake phrase before it.

    ``file`` names a committed clip of audio_fixtures; without it the speech lies in the cache.
    """

    sentence: Sentence
    voice: Voice
    speed: float
    wake: bool
    file: str = ""

    @property
    def words(self) -> str:
        """What the voice says."""
        return f"{WAKE_PHRASE}, {self.sentence.text}" if self.wake else self.sentence.text

    @property
    def path(self) -> Path:
        """Where the speech is kept: a name that changes with anything that changes the sound."""
        if self.file:
            return FOLDER / self.file
        key = f"{self.words}|{self.voice.engine_voice}|{self.speed}"
        name = hashlib.sha256(key.encode()).hexdigest()[:16]
        return speech_folder() / self.voice.name / f"{name}.flac"


def speech_folder() -> Path:
    """The folder of the benchmark's speech, outside the project."""
    return platformdirs.user_cache_path("kitchen-assistant") / "hearing-speech"


def sentences(table: Path = TABLE) -> list[Sentence]:
    """Read the command set."""
    with table.open(encoding="utf-8", newline="") as rows:
        return [Sentence(**row) for row in csv.DictReader(rows)]


def plan() -> list[Clip]:
    """Every clip of the benchmark, round by round; the same list each time."""
    clips: list[tuple[int, Clip]] = []
    for sentence in sentences():
        # Seeded by the sentence alone, so that a new row changes no other row's clips.
        rng = random.Random(f"{SEED} {sentence.text}")
        rounds = ROUNDS_WITH_NUMBER if sentence.values else ROUNDS_WITHOUT
        chosen = [
            rng.sample([v for v in voices().values() if v.half == half], rounds)
            for half in ("tune", "report")
        ]
        for turn in range(rounds):
            for voice in (half[turn] for half in chosen):
                wake = sentence.kind == "command" and rng.random() < WITH_WAKE_PHRASE
                clips.append((turn, Clip(sentence, voice, rng.choice(SPEEDS), wake)))
    return [clip for _, clip in sorted(clips, key=lambda pair: pair[0])]


def plan_unheard() -> list[Clip]:
    """The clips of the voices that our own model never heard, sentences with numbers first.

    Three of the four voices of the report say a sentence with a number and the chatter, two say any
    other; one voice of the other half says each command.
    """
    clips: list[tuple[int, Clip]] = []
    for sentence in sentences():
        rng = random.Random(f"{SEED} unheard {sentence.text}")
        many = bool(sentence.values) or sentence.kind == "chatter"
        names = rng.sample(UNHEARD["report"], 3 if many else 2)
        if sentence.kind == "command":
            names.append(rng.choice(UNHEARD["tune"]))
        for name in names:
            wake = sentence.kind == "command" and rng.random() < WITH_WAKE_PHRASE
            order = 0 if sentence.values else 1
            clips.append((order, Clip(sentence, voices()[name], rng.choice(SPEEDS), wake)))
    return [clip for _, clip in sorted(clips, key=lambda pair: pair[0])]


def half_of(clip: Clip, unheard: bool) -> str:
    """Which half a clip's voice belongs to: tune or report."""
    if not unheard:
        return clip.voice.half
    return next(half for half, names in UNHEARD.items() if clip.voice.name in names)


def speak(clips: list[Clip], speaker: Speaker) -> None:
    """Speak what is not yet kept, telling how far it is."""
    import soundfile

    missing = [clip for clip in clips if not clip.path.exists()]
    for number, clip in enumerate(missing, 1):
        samples = speaker.speak(clip.words, clip.voice, clip.speed)
        clip.path.parent.mkdir(parents=True, exist_ok=True)
        half = clip.path.with_suffix(".part")
        soundfile.write(half, samples, RATE, format="FLAC", subtype="PCM_16")
        half.replace(clip.path)
        if number % 25 == 0 or number == len(missing):
            print(f"spoken {number} of {len(missing)}", file=sys.stderr, flush=True)


def main() -> None:
    """Read the options and speak."""
    parser = argparse.ArgumentParser(description="Speak the hearing benchmark's sentences into the cache.")
    parser.add_argument("--styles", type=Path, required=True, help="voices folder of npm package kokoro-js")
    parser.add_argument("--unheard", action="store_true", help="the voices that our own model never heard")
    options = parser.parse_args()
    cache = platformdirs.user_cache_path("kitchen-assistant") / "synthesis"
    try:
        speak(plan_unheard() if options.unheard else plan(), Speaker(options.styles, cache))
    except (ValueError, OSError) as fault:
        sys.exit(f"speech not finished: {fault}")


if __name__ == "__main__":
    main()
