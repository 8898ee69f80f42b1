"""How well the listeners hear people, on recordings that Debian packages carry. Two commands::

    apt-get download asterisk-core-sounds-en-wav warzone2100-data; dpkg -x ... PACKAGES
    uv run python -m tests.benchmarks.human_speech PACKAGES/usr/share/asterisk/sounds GAME/audio

GAME is the unzipped ``base.wz`` of warzone2100-data. Nothing of either is copied into the project
(CC BY-SA 3.0 and GPL-2+). None of it is kitchen talk, and none of it was in any training.

Numbers: one speaker's recorded words ("forty", "hundred", "minus"), joined in a seeded order as a telephone
exchange joins them; what is said follows from the file names. Phrases: actors in a game, most with the sound
of a radio, whose words stand beside the file names in the package's ``audio.cfg``.
"""

from __future__ import annotations

import argparse
import random
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import soundfile

from assistant.audio.sound_files import read_sound, resample
from assistant.audio.utterance import Utterance
from assistant.speech.engines import open_engine
from assistant.speech.recogniser import recognise
from assistant.speech.spoken_text import spoken_text

ENGINES = ("whisper-kitchen-en-3", "kitchen-en-2")
UNITS = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen".split()
)
UNITS += "sixteen seventeen eighteen nineteen".split()
TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()
Said = tuple[str, Utterance]


def in_words(number: int) -> str:
    """Say 0 to 999 as the recordings do; larger numbers digit by digit."""
    if number < 20:
        return UNITS[number]
    if number < 100:
        return (TENS[number // 10 - 2] + " " + (UNITS[number % 10] if number % 10 else "")).strip()
    if number < 1000:
        return f"{UNITS[number // 100]} hundred {in_words(number % 100) if number % 100 else ''}".strip()
    return " ".join(UNITS[int(digit)] for digit in str(number))


def words(text: str) -> list[str]:
    """Words with digits written out and without "and", so that spelling does not count."""
    plain = spoken_text(text).lower().replace("-", " ").replace(",", " ")
    spelled = re.sub(r"\d{1,4}", lambda digits: f" {in_words(int(digits.group()))} ", plain)
    return [word.strip(".") for word in spelled.replace(" oh ", " zero ").split() if word != "and"]


def errors(said: list[str], heard: list[str]) -> int:
    """Return the least number of words to change, add or drop (Levenshtein distance)."""
    row = list(range(len(heard) + 1))
    for at, word in enumerate(said, 1):
        before, row[0] = row[0], at
        for other, guess in enumerate(heard, 1):
            before, row[other] = row[other], min(row[other] + 1, row[other - 1] + 1, before + (word != guess))
    return row[-1]


def number_parts(rng: random.Random) -> list[str]:
    """File names of a number: below a hundred, hundreds, below zero, "one sixty five", or three digits."""

    def below_hundred() -> list[str]:
        if rng.random() < 0.35:
            return [str(rng.randint(1, 19))]
        return [str(rng.randrange(20, 100, 10)), *([str(rng.randint(1, 9))] if rng.random() < 0.75 else [])]

    kind = rng.random()
    if kind < 0.35:
        return below_hundred()
    if kind < 0.65:
        return [str(rng.randint(1, 4)), "hundred", *(below_hundred() if rng.random() < 0.7 else [])]
    if kind < 0.75:
        return ["minus", *below_hundred()]
    if kind < 0.9:
        return [str(rng.randint(1, 3)), *below_hundred()]
    return [str(rng.randint(1, 9)) for _ in range(3)]


def numbers(sounds: Path, count: int = 100, seed: int = 4) -> Iterator[Said]:
    """Joined numbers of one human speaker, ``sounds`` being the folder with ``digits`` somewhere in it."""
    folder = next(sounds.rglob("digits"), None)
    if folder is None:
        raise FileNotFoundError(
            f"'{sounds}' holds no folder 'digits'; unpack asterisk-core-sounds-en-wav there"
        )
    rng = random.Random(seed)
    for _ in range(count):
        parts = number_parts(rng)
        said = " ".join(in_words(int(part)) if part.isdigit() else part for part in parts)
        joined = [
            np.pad(cut_word(folder / f"{part}.wav"), (0, pause))
            for part, pause in ((part, rng.randrange(1200)) for part in parts)
        ]
        yield said, Utterance(np.concatenate([np.zeros(6400, np.int16), *joined, np.zeros(6400, np.int16)]))


def word_parts(number: int) -> list[str]:
    """Return the file names of 20 to 999 in ordinary words."""
    hundreds, rest = divmod(number, 100)
    tens = [str(rest)] if 0 < rest < 20 else [str(part) for part in (rest // 10 * 10, rest % 10) if part]
    return [*([str(hundreds), "hundred"] if hundreds else []), *tens]


def cut_word(path: Path) -> np.ndarray:
    """Return a recorded word without the silence around it."""
    samples = read_sound(path).samples
    loud = np.flatnonzero(np.abs(samples.astype(np.int32)) > 0.015 * np.abs(samples.astype(np.int32)).max())
    return samples[max(0, loud[0] - 300) : loud[-1] + 600]


def phrases(audio: Path) -> Iterator[Said]:
    """Phrases of the game's actors with the words that its ``audio.cfg`` gives them, two words or more."""
    known = re.findall(
        r'audio\s+"([^"]+\.ogg)".*?/\*\s*(.*?)\s*\*/', (audio / "audio.cfg").read_text("latin-1")
    )
    files = {path.name: path for path in sorted(audio.rglob("*.ogg"))}
    for name, text in sorted(set(known)):
        said = " ".join(re.findall(r"[a-z']+", text.lower()))
        if name in files and said.count(" ") and not re.search(r"\d", text):
            samples, rate = soundfile.read(files[name], dtype="float32", always_2d=True)
            yield said, Utterance(resample(samples.mean(1), rate))


def main() -> None:
    """Print a table: word errors and sentences wholly right, by listener and kind."""
    parser = argparse.ArgumentParser(description="Measure how people are heard (human recordings).")
    parser.add_argument("telephone", type=Path)
    parser.add_argument("game", type=Path)
    options = parser.parse_args()
    try:
        sets = {"numbers": list(numbers(options.telephone)), "phrases": list(phrases(options.game))}
    except OSError as fault:
        sys.exit(f"benchmark stopped: {fault}")
    print(
        "| listener | recordings | words | word errors | wholly right |\n| --- | --- | ---: | ---: | ---: |"
    )
    for engine in ENGINES:
        recogniser = open_engine(engine)
        for kind, items in sets.items():
            wrong = [errors(words(said), words(recognise(recogniser, sound).best)) for said, sound in items]
            total = sum(len(words(said)) for said, _ in items)
            right = f"{wrong.count(0)} of {len(items)}"
            print(f"| {engine} | {kind} | {total} | {sum(wrong) / total:.1%} | {right} |", flush=True)


if __name__ == "__main__":
    main()
