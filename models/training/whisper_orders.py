"""Find the whole wording of orders of which only phrases are known: python whisper_orders.py MANIFEST OUT.csv --model BASE.npz TOKENIZER [CHANGE.npz]

Such an order is an opening ("may i have"), what comes before the drink in any order, the drink, "with", and what goes
into it, joined by "and". The phrases are certain, the rest is one of few: every --model (whisper_network.py) scores the
openings, then the orders of the phrases, and the likeliest is sure where it has --sure of the mass and reads well
enough. OUT: file, words, share, log-probability a token. Only the half `chosen` is read (tests/benchmarks/calls.py); nothing of it goes into the project.
"""

from __future__ import annotations

import argparse
import csv
import itertools
import pathlib
import sys

import numpy as np
import torch
from whisper_network import LogMel, Whisper, load

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[2]))

OPENINGS = [
    "give me",
    "can i have",
    "make me",
    "may i have",
    "i'd like",
    "can i get",
    "get me",
    "i want",
    "brew",
]
SIZES = {"small", "medium", "large"}
INTO = {"milk", "cream", "sugar", "sweetener"}
BEFORE = {"roast", "shot", "ounce"}
RATE = 16000


def wordings(phrases: list[str]) -> list[str]:
    """Every sentence that these phrases can make, without its opening."""
    into = [p for p in phrases if p.split()[-1] in INTO]
    before = [p for p in phrases if p in SIZES or p.split()[-1] in BEFORE]
    drink = [p for p in phrases if p not in into and p not in before]
    made = []
    for first in itertools.permutations(before):
        for last in itertools.permutations(into):
            named = " ".join([*first, *drink])
            tail = f" with {' and '.join(last)}" if last else ""
            made.append(f"{'an' if named[:1] in 'aeiou' else 'a'} {named}{tail}")
    return made


def likeliest(scorers: list[Scorer], sound: np.ndarray, some: list[str]) -> tuple[str, float, float]:
    """The likeliest of some sentences, its share of their mass, and its mean log-probability a token."""
    found = [scorer.scores(sound, some) for scorer in scorers]
    total = np.mean([score for score, _ in found], 0)
    best = int(np.argmax(total))
    share = float(1 / np.exp(total - total[best]).sum())
    return some[best], share, float(np.mean([score[best] / size[best] for score, size in found]))


class Scorer:
    """Log-probabilities of sentences, given a sound, by one model."""

    def __init__(self, base: str, tokenizer: str, change: str | None = None) -> None:
        from tokenizers import Tokenizer

        arrays, filters, self.marks = load(pathlib.Path(base))
        self.net, self.mel = Whisper(arrays, 64).eval(), LogMel(filters)
        if change:
            self.net.layers.begin_with(dict(np.load(change)))
        self.tokenizer = Tokenizer.from_file(tokenizer)
        task = self.tokenizer.token_to_id("<|transcribe|>")
        told = [self.marks.english, task] if self.marks.spanish >= 0 else []
        self.start = [self.marks.start, *told, self.marks.no_times]

    @torch.no_grad()
    def scores(self, sound: np.ndarray, sentences: list[str]) -> tuple[np.ndarray, np.ndarray]:
        """The sum for each sentence, and how many tokens it has."""
        wave = torch.zeros(1, (15 if len(sound) < 14 * RATE else 30) * RATE)
        wave[0, 6400 : 6400 + len(sound)] = torch.from_numpy(sound[: 29 * RATE].astype(np.float32)) / 32768
        heard = self.net.encode(self.mel(wave))
        rows = [self.tokenizer.encode(" " + s, add_special_tokens=False).ids for s in sentences]
        longest = max(map(len, rows)) + len(self.start) + 1
        tokens = torch.full((len(rows), longest), self.marks.end)
        for k, row in enumerate(rows):
            tokens[k, : len(self.start) + len(row)] = torch.tensor([*self.start, *row])
        states = self.net.decode(tokens[:, :-1], heard.expand(len(rows), -1, -1))[:, len(self.start) - 1 :]
        logs = self.net.scores(states).log_softmax(-1)
        wanted = tokens[:, len(self.start) :]
        each = logs.gather(-1, wanted[..., None])[..., 0]
        size = torch.tensor([len(row) + 1 for row in rows])
        inside = torch.arange(each.shape[1])[None] < size[:, None]
        return (each * inside).sum(1).numpy(), size.numpy()


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("manifest", type=pathlib.Path)
    p.add_argument("out", type=pathlib.Path)
    p.add_argument("--model", nargs="+", action="append", required=True)
    p.add_argument("--sure", type=float, default=0.8)
    p.add_argument("--least", type=float, default=-1.5, help="log-probability a token, mean of the models")
    a = p.parse_args()
    from assistant.audio.sound_files import read_sound
    from tests.benchmarks.calls import recordings

    torch.set_num_threads(1)
    scorers, kept, seen = [Scorer(*model) for model in a.model], 0, 0
    with a.out.open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file)
        out.writerow(["file", "words", "share", "mean"])
        for each in recordings(a.manifest):
            if each.kind != "orders" or each.half != "chosen":
                continue
            rests = wordings([phrase.strip() for phrase in each.words.split("|")])
            sound = read_sound(each.path).samples
            said, sure, _ = likeliest(scorers, sound, [f"{opening} {rests[0]}" for opening in OPENINGS])
            opening = said.removesuffix(f" {rests[0]}")
            said, share, mean = likeliest(scorers, sound, [f"{opening} {rest}" for rest in rests])
            share = min(share, sure)
            seen += 1
            if share >= a.sure and mean >= a.least:
                kept += 1
            out.writerow([each.path.name, said, f"{share:.3f}", f"{mean:.2f}"])
            file.flush()
    print(f"{kept} of {seen} orders are sure")


if __name__ == "__main__":
    main()
