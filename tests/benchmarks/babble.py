"""Commands spoken while six people talk on: what is answered, how soon, and whether their talk alone is.

    uv run python -m tests.benchmarks.babble --snr 10 --lead 6
    uv run python -m tests.benchmarks.babble --alone

Through the real loop and the default recogniser, not in real time. The others talk before, over and after the
command, ``--snr`` decibels softer. With ``--alone`` only they talk, while follow-ups need no wake phrase.
"""

from __future__ import annotations

import argparse
import tempfile
import zlib
from collections.abc import Callable
from pathlib import Path

import numpy as np

from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE
from assistant.dialogue.conversation import interpreter_for
from assistant.ear import open_recogniser
from assistant.live.attention import AttentionSettings
from assistant.live.events import Answered, Event
from assistant.site import load_site
from audio_fixtures import noise
from audio_fixtures.make_clips import Line
from audio_fixtures.voices import FOLDER
from intents.hypotheses import Hypotheses
from tests.benchmarks.hearing_conditions import talkers
from tests.benchmarks.latency_clips import Trial, between_silences, lines, trial_of
from tests.benchmarks.latency_cuts import FASTEST_S
from tests.benchmarks.soak_sound import Run, VirtualSource

TAIL_S = 8.0
OPEN_S = 2.0
"""How long before the command a follow-up needs no wake phrase: it may come late."""
WOKEN_S = AttentionSettings().woken_s
ALONE_LEVEL = 0.02
"""Loudness of the talk by itself, of full scale."""

Answer = tuple[float, str, str]
"""Seconds after the last word, what was heard, and the reply."""


def trial(line: Line, snr_db: float, lead_s: float, alone: bool) -> Trial:
    """Return one clip with the others around it, or (``alone``) the others without it."""
    speech, ends = between_silences(read_sound(FOLDER / line.file).samples, lead_s, TAIL_S)
    others = noise.make("babble", len(speech) / RATE + 0.1, zlib.crc32(line.file.encode()), talkers())
    sound = ALONE_LEVEL * others[: len(speech)] if alone else noise.mix(speech, others, snr_db)
    return trial_of(line, "babble", np.rint(np.clip(sound, -1, 1) * 32767).astype(np.int16), ends)


def hearer(alone: bool, lead_s: float) -> Callable[[Trial], Answer | None]:
    """Return what hears one trial in a fresh kitchen until something sounds."""
    site = load_site()
    interpreter = interpreter_for(site)
    recogniser = open_recogniser(interpreter, "", site.kitchen.wake_phrase)

    def hear(one: Trial) -> Answer | None:
        answers: list[Answer] = []

        def watch(event: Event) -> None:
            if isinstance(event, Answered):
                answers.append((source.now - one.ends, event.turn.heard, event.turn.reply))

        source = VirtualSource(iter([one.sound]), len(one.sound) / RATE)
        with tempfile.TemporaryDirectory() as folder:
            run = Run(site, interpreter, recogniser, source, Path(folder), watch)
            for words in one.before:
                run.talk.hear(Hypotheses.typed(words))
            if alone or not one.wake:
                run.attention.wake(lead_s if alone else lead_s + OPEN_S - WOKEN_S)
            run.loop.run(lambda: bool(run.player.sounded))
            run.close()
        return answers[0] if answers else None

    return hear


def main() -> None:
    """Read the options, run and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.babble", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("--clips", type=int, default=20)
    parser.add_argument("--snr", type=float, default=10.0, help="decibels (default: 10)")
    parser.add_argument("--lead", type=float, default=1.0, help="seconds of the others' talk before")
    parser.add_argument("--alone", action="store_true", help="the others without anybody near")
    options = parser.parse_args()
    hear = hearer(options.alone, options.lead)
    waits: list[float] = []
    for line in lines(options.clips):
        answer = hear(trial(line, options.snr, options.lead, options.alone))
        print(
            f"{line.text!r}:", f"{answer[0]:+.2f} s, {answer[1]!r} -> {answer[2]!r}" if answer else "nothing"
        )
        waits += [answer[0]] if answer and answer[2] else []
    print(
        f"answered {len(waits)} of {options.clips}, before the end {sum(w < -FASTEST_S for w in waits)};",
        end=" ",
    )
    print(f"wait {np.median(waits):.2f} ({np.percentile(waits, 95):.2f}) s" if waits else "")


if __name__ == "__main__":
    main()
