"""How well people are heard who call by any phrase, and what else is taken for a call: through the real loop.

    uv run python -m tests.benchmarks.calls MANIFEST --half counted
    uv run python -m tests.benchmarks.calls MANIFEST --half counted --talk orders an4 calls

MANIFEST is a CSV file with the columns ``set``, ``file`` (relative to it), ``speaker`` and ``words``. Rows of
the set ``calls`` are one phrase each, said once by one person; every other row is talk, as are the calls of
the other phrases. The recordings are no part of the project.

How they are split: a speaker belongs to one half, by the checksum of the name (where none is known, of the
file's name). Thresholds were chosen on the half ``chosen`` of the talk and of the phrases ``CHOSEN_ON``; the
other half, and the other phrases, are only counted.
"""

from __future__ import annotations

import argparse
import csv
import dataclasses
import tempfile
import time
import zlib
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

import numpy as np

from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE, Samples
from assistant.dialogue.conversation import interpreter_for
from assistant.ear import open_recogniser
from assistant.live.events import Answered, Event
from assistant.site import Site, load_site
from tests.benchmarks.hearing_conditions import Condition, disturb
from tests.benchmarks.hearing_report import wilson
from tests.benchmarks.soak_sound import Run, VirtualSource

CALLS = "calls"
CHOSEN_ON = ("jarvis", "view glass")
"""Phrases whose calls, one half of them, thresholds were chosen on."""
BEFORE_S, AFTER_S = 0.6, 1.5


@dataclasses.dataclass(frozen=True)
class Recording:
    """What one person said once."""

    kind: str
    path: Path
    speaker: str
    words: str

    @property
    def half(self) -> str:
        """``chosen`` or ``counted``."""
        return "counted" if zlib.crc32((self.speaker or self.path.stem).encode()) % 2 else "chosen"

    @property
    def check(self) -> bool:
        """Whether training leaves it out of ``chosen``: an eighth of the speakers, of digits of the files."""
        name = self.path.stem if self.kind == "digits" else self.speaker or self.path.stem
        return zlib.crc32(name.encode()) // 2 % 8 == 0


def recordings(manifest: Path) -> list[Recording]:
    """Read the manifest."""
    with manifest.open(encoding="utf-8", newline="") as rows:
        return [
            Recording(row["set"], manifest.parent / row["file"], row["speaker"], row["words"])
            for row in csv.DictReader(rows)
        ]


class Ear:
    """The program's loop, listening for ``phrase``; afresh for each recording."""

    def __init__(self, phrase: str) -> None:
        site = load_site()
        kitchen = site.kitchen.model_copy(update={"wake_phrase": phrase})
        self._site: Site = site.model_copy(update={"kitchen": kitchen})
        self._interpreter = interpreter_for(self._site)
        self._recogniser = open_recogniser(self._interpreter, "", phrase)

    def called(self, sound: Samples) -> str | None:
        """Return what came of ``sound``: a signal, or what was answered; None where it was no call."""
        events: list[Event] = []
        source = VirtualSource(iter([sound]), len(sound) / RATE)
        with tempfile.TemporaryDirectory() as folder:
            run = Run(self._site, self._interpreter, self._recogniser, source, Path(folder), events.append)
            run.loop.run()
            woken = bool(run.attention.woken)
            run.close()
        answers = [event.turn.heard for event in events if isinstance(event, Answered)]
        return answers[0] if answers else "(signal)" if woken else None

    def close(self) -> None:
        """Let go of the models."""
        self._recogniser.close()


def heard_as_call(
    ear: Ear, chosen: Sequence[Recording], condition: Condition
) -> Iterator[tuple[Recording, str]]:
    """Give each recording that was taken for a call, with what came of it."""
    for each in chosen:
        speech = read_sound(each.path).samples.astype(np.float32) / 32768
        padded = np.pad(speech, (round(BEFORE_S * RATE), round(AFTER_S * RATE)))
        if (came := ear.called(disturb(padded, condition, each.path.stem))) is not None:
            yield each, came


def hours(chosen: Iterable[Recording]) -> float:
    """Return how long the recordings are together."""
    import soundfile

    return sum(float(soundfile.info(each.path).duration) for each in chosen) / 3600


def judge(phrase: str, heard: Sequence[Recording], talked: Sequence[str], condition: Condition) -> str:
    """Return a row of the table for one phrase, with the sets ``talked`` as talk."""
    calls = [each for each in heard if each.kind == CALLS and each.words == phrase]
    talk = [each for each in heard if each.kind in talked and each not in calls]
    ear = Ear(phrase)
    found = {each.path for each, _ in heard_as_call(ear, calls, condition)}
    for each in calls:
        if each.path not in found:
            print(f"  missed: {each.path.name}", flush=True)
    began = time.process_time()
    false = list(heard_as_call(ear, talk, condition))
    spent, length = time.process_time() - began, hours(talk)
    ear.close()
    for each, came in false:
        print(f"  false: {each.kind} {each.words!r} -> {came!r}", flush=True)
    kinds = Counter(each.kind for each, _ in false)
    low, high = wilson(len(calls) - len(found), len(calls)) if calls else (0.0, 1.0)
    missed = f"{len(calls) - len(found)} of {len(calls)} ({low:.0%}–{high:.0%})"
    talked = ", ".join(f"{count} {kind}" for kind, count in kinds.items()) or "none"
    share = f"{spent / (length * 3600):.0%}" if talk else "-"
    return f"| {phrase} | {missed} | {len(false)} in {length:.2f} h ({talked}) | {share} |"


def main() -> None:
    """Read the options, run, and print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.calls", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("manifest", type=Path)
    parser.add_argument("--half", choices=("chosen", "counted", "all"), default="counted")
    parser.add_argument("--phrase", nargs="*", help="phrases listened for (default: each of the calls)")
    parser.add_argument(
        "--talk", nargs="*", default=[], help="sets of talk (default: none; calls: other phrases)"
    )
    parser.add_argument("--most", type=int, default=10**6, help="calls of each phrase, talk of each set")
    parser.add_argument("--snr", type=float, help="decibels of speech above noise (default: as recorded)")
    options = parser.parse_args()
    condition = Condition("as recorded" if options.snr is None else f"{options.snr:g} dB", options.snr)
    every = [each for each in recordings(options.manifest) if options.half in ("all", each.half)]
    every.sort(key=lambda each: zlib.crc32(str(each.path.name).encode()))
    phrases = options.phrase or sorted({each.words for each in every if each.kind == CALLS})
    taken: Counter[tuple[str, str]] = Counter()
    chosen: list[Recording] = []
    for each in every:
        group = each.kind, each.words if each.kind == CALLS else ""
        if each.kind in (CALLS, *options.talk) and taken[group] < options.most:
            taken[group] += 1
            chosen.append(each)
    print(f"half: {options.half}; {condition.name}\n", flush=True)
    rows = [judge(phrase, chosen, options.talk, condition) for phrase in phrases]
    print("\n| phrase | missed | false calls in talk | processor, share of a core while they talk |")
    print("| --- | ---: | ---: | ---: |")
    print("\n".join(rows))


if __name__ == "__main__":
    main()
