"""Join planned jobs and add Whisper's tokens: python whisper_text.py OUT.npz JOBS.npz... --tokenizer tokenizer.json [--without used.txt]

Sentences in --without (one a line) are left out: what a benchmark says must not be learnt by heart.
"""

from __future__ import annotations

import argparse
import pathlib

import numpy as np
from phones import HERE
from sentences import PLACES
from tokenizers import Tokenizer

WAKE = "hey kitchen "


def pack(rows: list[list[int]]) -> tuple[np.ndarray, np.ndarray]:
    return np.concatenate([np.array(x, np.int32) for x in rows]), np.cumsum([0] + [len(x) for x in rows])


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("out")
    p.add_argument("jobs", nargs="+")
    p.add_argument("--tokenizer", required=True)
    p.add_argument("--without", type=pathlib.Path)
    p.add_argument("--most", type=int, default=10**9, help="of each file at most so many")
    a = p.parse_args()
    tokenizer = Tokenizer.from_file(a.tokenizer)
    used = set(a.without.read_text(encoding="utf-8").splitlines()) if a.without else set()
    parts = [dict(np.load(f)) for f in a.jobs]
    ids, labels, mixes, speeds, text, languages = [], [], [], [], [], []
    for part in parts:
        assert np.array_equal(part["bank"], parts[0]["bank"]), "the jobs were planned with other voices"
        for k in np.random.default_rng(1).permutation(len(part["text"]))[: a.most]:
            said = str(part["text"][k])
            if said.removeprefix(WAKE) in used:
                continue
            ids.append(part["ids"][part["ids_at"][k] : part["ids_at"][k + 1]])
            labels.append(part["labels"][part["labels_at"][k] : part["labels_at"][k + 1]])
            mixes.append(part["mix"][k])
            speeds.append(part["speed"][k])
            text.append(said)
            languages.append(str(part["language"][k]) if "language" in part else "en")
    spelt = [tokenizer.encode(" " + t, add_special_tokens=False).ids for t in text]
    foods = (HERE / "foods.txt").read_text(encoding="utf-8").splitlines()
    nouns = [tokenizer.encode(" " + noun, add_special_tokens=False).ids for noun in [*foods, *PLACES * 4]]
    packed = {}
    for name, rows in (("ids", ids), ("labels", labels), ("tokens", spelt), ("nouns", nouns)):
        values, at = pack(rows)
        packed |= {name: values.astype(np.uint16), f"{name}_at": at.astype(np.int32)}
    np.savez_compressed(
        a.out,
        **packed,
        mix=np.array(mixes),
        speed=np.array(speeds),
        bank=parts[0]["bank"],
        text=np.array(text),
        language=np.array(languages),
    )
    print(len(text), "jobs;", sum(len(p["text"]) for p in parts) - len(text), "left out")


if __name__ == "__main__":
    main()
