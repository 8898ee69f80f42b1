"""Calls that sound like the wake phrase, each followed by a real question or reading, through the real loop.

    VENV/bin/python -m tests.benchmarks.near_wake --speak package/voices   # where the synthesisers are
    uv run python -m tests.benchmarks.near_wake

All speech is synthetic. ``near_wake.csv`` names the calls: names of people, other words, and such as hold the
phrase's last word or nearly so. None of them is meant for the assistant.
"""

from __future__ import annotations

import argparse
import csv
import random
import tempfile
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE
from audio_fixtures.voices import Speaker, Voice, voices
from tests.benchmarks.hearing_conditions import CONDITIONS, Condition, disturb
from tests.benchmarks.hearing_speech import SEED, speech_folder

TABLE = Path(__file__).with_suffix(".csv")
VOICES_EACH = 4
CONDITION_NAMES = ("clean", "10 dB")
SAID_NEXT = (
    "where does the ground beef go",
    "how do I wash my hands",
    "how long can the soup stay out",
    "where's my salmon",
    "the walk-in is at forty",
    "quat bucket two hundred",
    "can I put the chicken over the lettuce",
    "what temp for the turkey",
)


@dataclass(frozen=True, slots=True)
class Call:
    """A call of one kind and what follows it, as one voice says it."""

    words: str
    kind: str
    voice: Voice
    path: Path


def calls() -> list[Call]:
    """Every call with its voices, drawn by a seed: the same list each time."""
    rng = random.Random(SEED)
    like_people = [voice for voice in voices().values() if voice.family.startswith("neural")]
    with TABLE.open(encoding="utf-8", newline="") as table:
        rows = list(csv.DictReader(table))
    found = []
    for number, row in enumerate(rows):
        for voice in rng.sample(like_people, VOICES_EACH):
            words = f"{row['call']}, {rng.choice(SAID_NEXT)}"
            path = speech_folder().with_name("near-wake") / f"{number:02d}_{voice.name}.flac"
            found.append(Call(words, row["kind"], voice, path))
    return found


def speak(styles: Path) -> None:
    """Make the clips that are missing."""
    import soundfile

    speaker = Speaker(styles, speech_folder().parent)
    for call in calls():
        if not call.path.is_file():
            call.path.parent.mkdir(parents=True, exist_ok=True)
            soundfile.write(call.path, speaker.speak(call.words, call.voice), RATE)
            print(call.words, flush=True)


def run(condition: Condition, played: list[Call]) -> Counter[str]:
    """Play each call to the program's loop afresh; count by kind those after which it made a sound."""
    from assistant.dialogue.conversation import interpreter_for
    from assistant.ear import open_recogniser
    from assistant.live.events import Event
    from assistant.site import load_site
    from tests.benchmarks.soak_sound import Run, VirtualSource

    site = load_site()
    interpreter = interpreter_for(site)
    recogniser = open_recogniser(interpreter, "", site.kitchen.wake_phrase)
    sounded: Counter[str] = Counter()
    for call in played:
        speech = read_sound(call.path).samples.astype(np.float32) / 32768
        sound = disturb(np.pad(speech, (RATE, 2 * RATE)), condition, call.path.stem)
        source = VirtualSource(iter([sound]), len(sound) / RATE)
        events: list[Event] = []
        with tempfile.TemporaryDirectory() as folder:
            kitchen = Run(site, interpreter, recogniser, source, Path(folder) / "state", events.append)
            kitchen.loop.run()
            if kitchen.player.sounded:
                sounded[call.kind] += 1
                print(f"  {condition.name}: {call.voice.name}: {call.words!r}", flush=True)
            kitchen.close()
    recogniser.close()
    return sounded


def main() -> None:
    """Read the options; make the clips, or run and print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.near_wake", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("--speak", type=Path, metavar="VOICES", help="make the clips with these voices")
    parser.add_argument("--kind", nargs="*", help="only calls of these kinds (name, word, kitchen)")
    options = parser.parse_args()
    if options.speak:
        speak(options.speak)
        return
    played = [call for call in calls() if not options.kind or call.kind in options.kind]
    missing = sum(not call.path.is_file() for call in played)
    if missing:
        raise SystemExit(f"{missing} clips are missing; make them with --speak, where the synthesisers are")
    many = Counter(call.kind for call in played)
    print("| condition | " + " | ".join(many) + " |")
    for condition in CONDITIONS:
        if condition.name in CONDITION_NAMES:
            sounded = run(condition, played)
            print("| " + " | ".join([condition.name, *(f"{sounded[k]} of {many[k]}" for k in many)]) + " |")


if __name__ == "__main__":
    main()
