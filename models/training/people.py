"""Put people's recordings into one file of clips with tokens: python people.py MANIFEST.csv OUT.npz --tokenizer tokenizer.json

MANIFEST holds set, file, speaker and words (tests/benchmarks/calls.py says more). Of every set the half `chosen` is taken, by the
checksum of the speaker's name, so that the half `counted` stays for judging; phrases of `calls` only if they are
among --phrases, and a set named in --without not at all. Digits are joined to numbers of two to four of one speaker,
one set of joints for each --joined. Letters spelled one by one are left out. Nothing of this goes into the project.
"""

from __future__ import annotations

import argparse
import pathlib
import random
import sys

import numpy as np

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[2]))

RATE = 16000
Clip = tuple[np.ndarray, str]


def cut(samples: np.ndarray) -> np.ndarray:
    """The sound without the silence around it, peak at 20000."""
    size = np.abs(samples.astype(np.float32))
    loud = np.flatnonzero(size > 0.02 * size.max())
    part = samples[max(0, loud[0] - 800) : loud[-1] + 1600].astype(np.float32)
    return np.round(part / np.abs(part).max() * 20000).astype(np.int16)


def joined(digits: dict[str, list[Clip]], count: int, r: random.Random) -> list[Clip]:
    """Numbers of two to four digits of one speaker, with short pauses."""
    made = []
    for clips in digits.values():
        for _ in range(count):
            some = r.choices(clips, k=r.choice([2, 3, 3, 4]))
            parts = [np.pad(sound, (0, r.randrange(1600))) for sound, _ in some]
            made.append((np.concatenate(parts), " ".join(word for _, word in some)))
    return made


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("manifest", type=pathlib.Path)
    p.add_argument("out")
    p.add_argument("--tokenizer", required=True)
    p.add_argument("--phrases", nargs="*", default=[])
    p.add_argument("--without", nargs="*", default=[])
    p.add_argument("--joined", type=int, default=300, help="numbers of each speaker of digits")
    a = p.parse_args()
    from tokenizers import Tokenizer

    from assistant.audio.sound_files import read_sound
    from tests.benchmarks.calls import recordings

    tokenizer = Tokenizer.from_file(a.tokenizer)
    clips: list[Clip] = []
    digits: dict[str, list[Clip]] = {}
    for each in recordings(a.manifest):
        letters = sum(len(word) == 1 for word in each.words.split())
        left_out = each.kind in a.without or "|" in each.words or letters > 1
        if each.half != "chosen" or left_out or (each.kind == "calls" and each.words not in a.phrases):
            continue
        clip = cut(read_sound(each.path).samples), each.words
        if each.kind == "digits":
            digits.setdefault(each.speaker, []).append(clip)
        else:
            clips.append(clip)
    clips += joined(digits, a.joined, random.Random(1))
    tokens = [tokenizer.encode(" " + words, add_special_tokens=False).ids for _, words in clips]
    np.savez_compressed(
        a.out,
        audio=np.concatenate([sound for sound, _ in clips]),
        at=np.cumsum([0] + [len(sound) for sound, _ in clips]),
        tokens=np.concatenate([np.array(t, np.uint16) for t in tokens]),
        tokens_at=np.cumsum([0] + [len(t) for t in tokens]).astype(np.int32),
        language=np.array(["en"] * len(clips)),
    )
    print(
        len(clips),
        f"clips, {sum(len(s) for s, _ in clips) / RATE / 3600:.2f} hours;",
        sorted(digits),
        "say digits",
    )


if __name__ == "__main__":
    main()
