"""How long to wait for more words: the program's own end of speech against plain fixed silences.

Not in real time: the wait depends on the sound and on the words, not on the machine.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import numpy as np

from assistant.audio.end_of_speech import EndOfSpeech, EndSettings, Phase
from assistant.audio.utterance import RATE, Samples
from assistant.dialogue.conversation import interpreter_for
from assistant.ear import open_recogniser
from assistant.live.events import Answered, Event, Ignored
from assistant.site import load_site
from tests.benchmarks.latency_clips import Trial
from tests.benchmarks.soak_sound import BLOCK, Run, VirtualSource

FIXED_S = (0.35, 0.5, 0.65, 0.8, 1.1)
FASTEST_S = 0.15
"""An end declared this long before the last word's last sound is no cut-off: words fade out."""

Ends = Callable[[Trial], float | None]
"""Returns the second at which the (first) end is declared, or None if it never is."""


def fixed(hang_s: float) -> Ends:
    """A plain silence of always the same length."""

    def end(trial: Trial) -> float | None:
        ends = EndOfSpeech(EndSettings(hang_s=hang_s))
        for at in range(0, len(trial.sound), BLOCK):
            if ends.accept(trial.sound[at : at + BLOCK]) is Phase.ENDED:
                return (at + BLOCK) / RATE
        return None

    return end


def adaptive(engine: str, folder: Path) -> Ends:
    """The program's loop with its recogniser."""
    site = load_site()
    interpreter = interpreter_for(site)
    recogniser = open_recogniser(interpreter, engine, site.kitchen.wake_phrase)

    def end(trial: Trial) -> float | None:
        ended: list[float] = []

        def watch(event: Event) -> None:
            if isinstance(event, Answered | Ignored):
                ended.append(source.now)

        def sound() -> Iterator[Samples]:
            yield trial.sound

        source = VirtualSource(sound(), len(trial.sound) / RATE)
        run = Run(site, interpreter, recogniser, source, Path(tempfile.mkdtemp(dir=folder)), watch)
        if not trial.wake:
            run.attention.wake(0.0)
        run.loop.run(lambda: bool(ended) or bool(run.player.sounded))
        run.close()
        return ended[0] if ended else next(iter(run.player.sounded), None)

    return end


def compare(plain: Sequence[Trial], hesitant: Sequence[Trial], engine: str) -> None:
    """Print the wait and the cut-offs of every way, for fluent and for hesitant speakers."""
    print("| end of speech | fluent: wait, median (95 %) | cut off | hesitant: wait | cut off |")
    print("| --- | ---: | ---: | ---: | ---: |")
    with tempfile.TemporaryDirectory() as folder:
        ways = {f"fixed {hang:g} s": fixed(hang) for hang in FIXED_S}
        ways["by what was said"] = adaptive(engine, Path(folder))
        for name, end in ways.items():
            print(
                f"| {name} | {' | '.join(_column(end, trials) for trials in (plain, hesitant))} |", flush=True
            )


def _column(end: Ends, trials: Sequence[Trial]) -> str:
    waits, cut = [], 0
    for trial in trials:
        at = end(trial)
        if at is not None and at < trial.ends - FASTEST_S:
            cut += 1
        elif at is not None:
            waits.append((at - trial.ends) * 1000)
    spread = f"{np.median(waits):.0f} ({np.percentile(waits, 95):.0f}) ms" if waits else "–"
    return f"{spread} | {cut} of {len(trials)}"
