"""Many hours of kitchen sound that is not meant for the assistant, faster than real time.

    uv run python -m tests.benchmarks.soak --hours 8

Prints what was logged, spoken and taken as the wake phrase so far (all should be 0) and the memory, every ten
minutes of the run, so that a run that is stopped early has shown something too; and at the end whether the
same loop answers once it is addressed: a deaf one would pass, too.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from itertools import islice
from pathlib import Path

import numpy as np

from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE, Samples
from assistant.dialogue.conversation import interpreter_for
from assistant.ear import open_recogniser
from assistant.live.events import Answered, Event, Ignored
from assistant.site import Site, load_site
from assistant.speech.recogniser import Recogniser
from audio_fixtures.voices import FOLDER
from intents.interpret import Interpreter
from tests.benchmarks.soak_sound import SCENE_S, Hours, Run, VirtualSource

CONTROL = FOLDER / "demo" / "wake_cook_ground_beef.flac"
EVERY_S = 600.0
SETTLED_S = 1800.0


def memory_mb() -> float:
    """Return this process's resident memory now."""
    with suppress(OSError), Path("/proc/self/status").open() as status:
        for line in status:
            if line.startswith("VmRSS"):
                return int(line.split()[1]) / 1024
    return float("nan")


class Tally:
    """Counts events, and prints what there is every ten minutes of the run."""

    def __init__(self, hours: Hours) -> None:
        self.hours = hours
        self.source: VirtualSource | None = None
        self.kitchen: Run | None = None
        self.counts: Counter[str] = Counter()
        self.answers: list[str] = []
        self.memory: list[tuple[float, float]] = []
        self._began = time.monotonic()

    def watch(self, event: Event) -> None:
        """Take one event of the loop."""
        assert self.source is not None
        now = self.source.now
        if isinstance(event, Ignored):
            self.counts[event.reason] += 1
        elif isinstance(event, Answered):
            self.counts["turns"] += 1
            what = f"{now:.0f} s: {self.hours.words_at(now)!r} heard {event.turn.heard!r}"
            self.answers.append(f"{what} -> {event.turn.reply!r}")
            print(f"  turn at {self.answers[-1]}", flush=True)
        if now >= EVERY_S * len(self.memory):
            self.memory.append((now, memory_mb()))
            self._print(now)

    def _print(self, now: float) -> None:
        assert self.kitchen is not None
        run, spent = self.kitchen, time.monotonic() - self._began
        print(
            f"{now / 3600:5.2f} h  {self.memory[-1][1]:6.0f} MB  entries {run.log.views.count()},"
            f" sounds made {len(run.player.sounded)}, turns {len(self.answers)},"
            f" phrase alone {len(run.attention.woken)}, people's utterances {self.hours.count};"
            f" {spent:.0f} s spent",
            flush=True,
        )


def run(hours: float, seed: int, engine: str) -> None:
    """Make the sound, listen to it, and print the table."""
    site = load_site()
    interpreter = interpreter_for(site)
    recogniser = open_recogniser(interpreter, engine, site.kitchen.wake_phrase)
    made = Hours(seed)
    tally = Tally(made)
    seconds = hours * 3600
    source = VirtualSource(islice(made.scenes(), int(seconds / SCENE_S)), seconds)
    tally.source = source
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        kitchen = Run(site, interpreter, recogniser, source, Path(folder) / "state", tally.watch)
        tally.kitchen = kitchen
        kitchen.loop.run()
        spent = time.monotonic() - began
        entries, sounds, alone = kitchen.log.views.count(), kitchen.player.sounded, kitchen.attention.woken
        kitchen.close()
        _print(hours, spent, tally, entries, sounds)
        for at in alone:
            print(f"  the wake phrase alone at {at:.0f} s: {made.words_at(at)!r}")
        wakes = len(alone) + len(tally.answers)
        print(f"taken as addressed: {wakes} ({wakes / hours:.2f} an hour)")
        answered = _control(site, interpreter, recogniser, Path(folder) / "control")
    print(f"control, addressed afterwards: {answered}")
    recogniser.close()


def _print(hours: float, spent: float, tally: Tally, entries: int, sounds: list[float]) -> None:
    print(
        f"\n{hours:g} h of sound in {spent / 60:.1f} minutes; {tally.hours.count} utterances of people in it"
    )
    print(f"ended utterances: {dict(tally.counts)}")
    print(f"entries: {entries}; sounds made (answers and signals): {len(sounds)}")
    for answer in tally.answers:
        print(f"  turn at {answer}")
    if len(tally.memory) * EVERY_S > 2 * SETTLED_S:
        settled, last = tally.memory[int(SETTLED_S / EVERY_S)], tally.memory[-1]
        growth = (last[1] - settled[1]) / max((last[0] - settled[0]) / 3600, 0.5)
        print(f"memory: {settled[1]:.0f} MB after half an hour, {last[1]:.0f} MB at the end,", end=" ")
        print(f"most {max(m for _, m in tally.memory):.0f} MB; {growth:+.2f} MB an hour")


def _control(site: Site, interpreter: Interpreter, recogniser: Recogniser, state: Path) -> str:
    """Address a fresh loop with the same recogniser, and return its answer."""
    replies: list[str] = []

    def watch(event: Event) -> None:
        if isinstance(event, Answered):
            replies.append(event.turn.reply)

    def sound() -> Iterator[Samples]:
        silence = np.zeros(2 * RATE, np.int16)
        yield np.concatenate([silence, read_sound(CONTROL).samples, silence])

    control = Run(site, interpreter, recogniser, VirtualSource(sound(), 60.0), state, watch)
    control.loop.run()
    control.close()
    return "; ".join(replies) or "NO ANSWER"


def main() -> None:
    """Read the options and run."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.soak", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("--hours", type=float, default=8.0, help="hours of sound (default: 8)")
    parser.add_argument("--seed", type=int, default=20261125)
    parser.add_argument("--engine", default="", help="engine or model (default: the program's)")
    options = parser.parse_args()
    run(options.hours, options.seed, options.engine)


if __name__ == "__main__":
    main()
