"""Put people's recordings into one file of clips with tokens: python people.py MANIFEST.csv OUT.npz --tokenizer tokenizer.json
or, for the streaming network, with phones: python people.py MANIFEST.csv OUT.npz --phones

MANIFEST holds set, file, speaker and words (tests/benchmarks/calls.py says more). Of every set the half `chosen` is taken, by the
checksum of the speaker's name, so that the half `counted` stays for judging; phrases of `calls` only if they are
among --phrases, and a set named in --without not at all. Digits are joined to numbers of two to four of one speaker,
one set of joints for each --joined. With --check FILE every eighth speaker (of digits every eighth file, joined too) goes into that
file instead. Orders, of which only phrases are known, are taken with --orders CSV (whisper_orders.py). --often says how often whisper_tune.py draws a clip of a set. Letters spelled one by one are left out where tokens are wanted. Nothing of this goes into the project.
"""

from __future__ import annotations

import argparse
import csv
import pathlib
import random
import sys

import numpy as np

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[2]))

RATE = 16000
Clip = tuple[np.ndarray, str, int]  # sound, words, how often
NUMBERS = set("zero oh one two three four five six seven eight nine ten eleven twelve hundred".split())


def cut(samples: np.ndarray) -> np.ndarray:
    """The sound without the silence around it, peak at 20000."""
    size = np.abs(samples.astype(np.float32))
    loud = np.flatnonzero(size > 0.02 * size.max())
    part = samples[max(0, loud[0] - 800) : loud[-1] + 1600].astype(np.float32)
    return np.round(part / np.abs(part).max() * 20000).astype(np.int16)


def joined(digits: dict[str, list[Clip]], count: int, often: int, r: random.Random) -> list[Clip]:
    """Numbers of two to four digits of one speaker, with short pauses."""
    made = []
    for clips in digits.values():
        for _ in range(count):
            some = r.choices(clips, k=r.choice([2, 3, 3, 4]))
            parts = [np.pad(sound, (0, r.randrange(1600))) for sound, _, _ in some]
            made.append((np.concatenate(parts), " ".join(word for _, word, _ in some), often))
    return made


def phones(said: str) -> list[int]:
    """The usual pronunciation; a lone "a" is the letter, since these people spell."""
    from phones import PHONES, pronunciations

    spoken = ["EY" if word == "a" else pronunciations(word)[0] for word in said.split()]
    return [PHONES.index(phone) + 1 for phone in " ".join(spoken).split()]


def labelled(clips: list[Clip]) -> dict[str, np.ndarray]:
    """Phones of each clip, and whether it is a number and nothing else (behind.py puts those behind places)."""
    labels = [phones(said) for _, said, _ in clips]
    return {
        "labels": np.concatenate([np.array(x, np.int16) for x in labels]),
        "labels_at": np.cumsum([0] + [len(x) for x in labels]).astype(np.int32),
        "number": np.array([NUMBERS.issuperset(said.split()) for _, said, _ in clips]),
    }


def tokenised(clips: list[Clip], path: str) -> dict[str, np.ndarray]:
    from tokenizers import Tokenizer

    tokenizer = Tokenizer.from_file(path)
    tokens = [tokenizer.encode(" " + words, add_special_tokens=False).ids for _, words, _ in clips]
    return {
        "tokens": np.concatenate([np.array(t, np.uint16) for t in tokens]),
        "tokens_at": np.cumsum([0] + [len(t) for t in tokens]).astype(np.int32),
        "language": np.array(["en"] * len(clips)),
    }


def write(path: str, clips: list[Clip], tokenizer: str | None) -> None:
    """Save the clips with tokens, or with phones where there is no tokenizer."""
    said = tokenised(clips, tokenizer) if tokenizer else labelled(clips)
    np.savez_compressed(
        path,
        audio=np.concatenate([sound for sound, _, _ in clips]),
        at=np.cumsum([0] + [len(sound) for sound, _, _ in clips]),
        often=np.array([often for _, _, often in clips]),
        **said,
    )


def sure_orders(path: pathlib.Path, share: float, mean: float) -> dict[str, str]:
    """File name -> words, of the orders whose wording is sure."""
    with path.open(encoding="utf-8", newline="") as rows:
        return {
            row["file"]: row["words"]
            for row in csv.DictReader(rows)
            if float(row["share"]) >= share and float(row["mean"]) >= mean
        }


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("manifest", type=pathlib.Path)
    p.add_argument("out")
    kind = p.add_mutually_exclusive_group(required=True)
    kind.add_argument("--tokenizer")
    kind.add_argument("--phones", action="store_true")
    p.add_argument("--phrases", nargs="*", default=[])
    p.add_argument("--without", nargs="*", default=[])
    p.add_argument("--joined", type=int, default=300, help="numbers of each speaker of digits")
    p.add_argument("--check", help="file for people who are not trained on")
    p.add_argument("--orders", type=pathlib.Path, help="wordings of orders")
    p.add_argument("--sure", type=float, nargs=2, default=(0.8, -1.5), help="share and mean of a wording")
    p.add_argument("--often", nargs="*", default=[], help="set=times, for instance orders=6")
    a = p.parse_args()
    from assistant.audio.sound_files import read_sound
    from tests.benchmarks.calls import recordings

    often = {kind: int(times) for kind, times in (each.split("=") for each in a.often)}
    orders = sure_orders(a.orders, *a.sure) if a.orders else {}
    clips: list[Clip] = []
    check: list[Clip] = []
    digits: dict[str, list[Clip]] = {}
    kept: dict[str, list[Clip]] = {}
    for each in recordings(a.manifest):
        said = orders.get(each.path.name, "|") if each.kind == "orders" else each.words
        letters = 0 if each.kind == "orders" else sum(len(word) == 1 for word in said.split())
        left_out = each.kind in a.without or "|" in said or (letters > 1 and not a.phones)
        if each.half != "chosen" or left_out or (each.kind == "calls" and said not in a.phrases):
            continue
        clip = cut(read_sound(each.path).samples), said, often.get(each.kind, 3)
        held = bool(a.check) and each.check
        if each.kind == "digits":
            (kept if held else digits).setdefault(each.speaker, []).append(clip)
        else:
            (check if held else clips).append(clip)
    clips += joined(digits, a.joined, often.get("digits", 3), random.Random(1))
    write(a.out, clips, a.tokenizer)
    if a.check:
        write(a.check, check + joined(kept, 12, 1, random.Random(2)), a.tokenizer)
    print(
        len(clips),
        f"clips, {sum(len(s) for s, _, _ in clips) / RATE / 3600:.2f} hours;",
        sorted(digits),
        "say digits",
    )


if __name__ == "__main__":
    main()
