"""How many of people's words a Whisper model hears by itself: any model, the same recordings each time.

    uv run python -m tests.benchmarks.people_words MANIFEST models/whisper_kitchen_en
    uv run python -m tests.benchmarks.people_words MANIFEST OTHER_FOLDER --sets threes orders --show

MANIFEST: tests/benchmarks/calls.py says what it holds and how people are split in halves. The model hears
through the program's own recogniser, with the settings of a taught model, on one core. The sets:

``an4``: utterances of two words and more, all of them numbers, ordinals and months. ``threes``: three digits
of one speaker, joined with short pauses. ``orders``: long orders of which only phrases are written down, with
a bar between; right if every phrase was heard, word for word, anywhere. ``clean``, ``10 dB``, ``5 dB``:
commands by synthetic voices that no model of ours heard (hearing_speech.py; as many as its cache holds), word
for word.

``--half check`` is what training leaves out of the half ``chosen`` (models/training/people.py), with the
voices of the tuning half: to choose among trained models. ``counted`` is for the last word only.

Words are compared with digits spelt out. "Nothing heard" also counts where the model said that nobody spoke.
"""

from __future__ import annotations

import argparse
import random
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import Samples, Utterance
from assistant.speech.recogniser import Recogniser, recognise
from assistant.speech.whisper import WhisperRecogniser
from assistant.speech.whisper_engine import TAUGHT
from tests.benchmarks.calls import Recording, recordings
from tests.benchmarks.hearing_conditions import CONDITIONS, Condition, disturb
from tests.benchmarks.hearing_speech import half_of, plan_unheard
from tests.benchmarks.human_speech import TENS, UNITS, cut_word, errors, words

ORDINALS = """first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth
fourteenth fifteenth sixteenth seventeenth eighteenth nineteenth twentieth thirtieth""".split()
MONTHS = "january february march april may june july august september october november december".split()
NUMBERS = {*UNITS, *TENS, "oh", "hundred", "thousand", *ORDINALS, *MONTHS}
NOISES = {each.name: each for each in CONDITIONS if each.name in ("clean", "10 dB", "5 dB")}
SETS = ("an4", "threes", "orders", *NOISES)


@dataclass(frozen=True)
class Said:
    """A sound and the phrases that are certain in it."""

    name: str
    phrases: tuple[str, ...]
    sound: Samples


@dataclass(frozen=True)
class Result:
    """What was heard of it."""

    said: Said
    heard: str

    @property
    def missed(self) -> list[str]:
        """The phrases that are not in what was heard; a single one must be all that was heard."""
        heard = words(self.heard)
        if len(self.said.phrases) == 1:
            return [] if heard == words(self.said.phrases[0]) else list(self.said.phrases)
        return [phrase for phrase in self.said.phrases if not within(words(phrase), heard)]


def within(some: Sequence[str], heard: Sequence[str]) -> bool:
    """Tell whether ``some`` words stand in ``heard``, one after the other."""
    return any(heard[at : at + len(some)] == some for at in range(len(heard) - len(some) + 1))


def an4(every: Iterable[Recording]) -> Iterator[Said]:
    """Numbers and dates as they were said."""
    for each in every:
        if each.kind == "an4" and each.words.count(" ") and NUMBERS.issuperset(each.words.split()):
            yield Said(each.path.stem, (each.words,), read_sound(each.path).samples)


def threes(every: Iterable[Recording], count: int) -> Iterator[Said]:
    """Three digits of one speaker, joined; ``count`` of each speaker."""
    spoken: dict[str, dict[str, list[Path]]] = {}
    for each in every:
        if each.kind == "digits":
            spoken.setdefault(each.speaker, {}).setdefault(each.words, []).append(each.path)
    for speaker, paths in sorted(spoken.items()):
        rng = random.Random(speaker)
        for at in range(count):
            digits = [rng.choice(sorted(paths)) for _ in range(3)]
            parts = [np.pad(cut_word(rng.choice(paths[digit])), (0, rng.randrange(1200))) for digit in digits]
            yield Said(f"{speaker}-{at}", (" ".join(digits),), np.concatenate(parts))


def orders(every: Iterable[Recording]) -> Iterator[Said]:
    """Orders with two phrases and more."""
    for each in every:
        phrases = tuple(phrase.strip() for phrase in each.words.split("|"))
        if each.kind == "orders" and len(phrases) > 1:
            yield Said(each.path.stem, phrases, read_sound(each.path).samples)


def synthetic(condition: Condition, half: str) -> Iterator[Said]:
    """Commands that the cache holds, by voices that were never trained on."""
    import soundfile

    wanted = "report" if half == "counted" else "tune"
    for clip in plan_unheard():
        if half_of(clip, True) == wanted and clip.sentence.kind == "command" and clip.path.exists():
            sound = disturb(soundfile.read(clip.path, dtype="float32")[0], condition, clip.path.stem)
            yield Said(clip.path.stem, (clip.words.replace(",", "").replace("?", ""),), sound)


def items(kind: str, every: Sequence[Recording], half: str, count: int) -> Iterator[Said]:
    """The sounds of one set."""
    if kind == "an4":
        return an4(every)
    if kind == "threes":
        return threes(every, count)
    return orders(every) if kind == "orders" else synthetic(NOISES[kind], half)


def hear(recogniser: Recogniser, some: Iterable[Said]) -> list[Result]:
    """Hear each with silence around it."""
    quiet = np.zeros(6400, np.int16)
    return [
        Result(each, recognise(recogniser, Utterance(np.concatenate([quiet, each.sound, quiet]))).best)
        for each in some
    ]


def row(kind: str, results: Sequence[Result], seconds: float) -> str:
    """Return a row of the table."""
    phrases = sum(len(each.said.phrases) for each in results)
    missed = sum(len(each.missed) for each in results)
    right = sum(not each.missed for each in results)
    single = [each for each in results if len(each.said.phrases) == 1]
    wrong = sum(errors(words(each.said.phrases[0]), words(each.heard)) for each in single)
    total = sum(len(words(each.said.phrases[0])) for each in single)
    by_words = f"{wrong} of {total} words" if single else f"{missed} of {phrases} phrases"
    silent = sum(not each.heard for each in results)
    share = right / max(1, len(results))
    return f"| {kind} | {right} of {len(results)} | {share:.1%} | {by_words} | {silent} | {seconds:.0f} s |"


def main() -> None:
    """Read the options and print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.people_words", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("manifest", type=Path)
    parser.add_argument("model", type=Path, help="folder of a Whisper model")
    parser.add_argument("--half", choices=("chosen", "check", "counted"), default="counted")
    parser.add_argument("--sets", nargs="*", choices=SETS, default=SETS)
    parser.add_argument("--count", type=int, default=200, help="threes of each speaker (default: 200)")
    parser.add_argument("--most", type=int, default=10**6, help="of each set")
    parser.add_argument("--show", action="store_true", help="print what was not heard as said")
    options = parser.parse_args()
    half = "chosen" if options.half == "check" else options.half
    every = [each for each in recordings(options.manifest) if each.half == half]
    if options.half == "check":
        every = [each for each in every if each.check]
    recogniser = WhisperRecogniser(options.model, settings=replace(TAUGHT, cpu_threads=1))
    print(f"{options.model}, half: {options.half}\n", flush=True)
    print("| set | wholly right | | wrong or missed | nothing heard | processor |")
    print("| --- | ---: | ---: | ---: | ---: | ---: |", flush=True)
    for kind in options.sets:
        some = list(items(kind, every, options.half, options.count))[: options.most]
        began = time.process_time()
        results = hear(recogniser, some)
        print(row(kind, results, time.process_time() - began), flush=True)
        for each in results if options.show else ():
            if each.missed:
                print(f"  {each.said.name}: {' | '.join(each.missed)} -> {each.heard}", flush=True)


if __name__ == "__main__":
    main()
