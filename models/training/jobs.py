"""Plan the speaking: which sentence, in which voice, how fast, and the phones that are heard. Needs no GPU.

python jobs.py SENTENCES.txt VOICES_FOLDER OUT.npz            training voices and mixtures of them
python jobs.py SENTENCES.txt VOICES_FOLDER OUT.npz --judge    the held-out voices, plain (nothing is trained on these)

VOICES_FOLDER is `voices/` of the npm package kokoro-js: a style table of 510 x 256 float32 a voice.
"""

from __future__ import annotations

import argparse
import pathlib
import random

import numpy as np
from phones import PHONES, lexicon

KEPT = {
    "af_sky",
    "af_nova",
    "am_onyx",
    "am_puck",
    "bf_lily",
    "bm_daniel",
}  # kept for the project's judges: never used here
HELD_OUT = ["af_kore", "am_michael", "am_eric", "bf_emma", "bm_george"]  # this model's own unheard voices
ROWS = 140  # style rows kept: one for each token count
AMERICAN = ["en-us"] * 6 + ["en-us-nyc"]
BRITISH = ["en-gb"] * 4 + ["en-gb-scotland", "en-gb-x-rp", "en-029"]
Mix = tuple[
    list[int], list[float], list[float]
]  # voices, weights of their sound half, weights of their prosody half


def simplex(r: random.Random, n: int) -> list[float]:
    w = [r.expovariate(1) for _ in range(n)]
    return [x / sum(w) for x in w]


def voice(r: random.Random, english: list[int], others: list[int]) -> Mix:
    """A speaker: a voice, a mixture of English ones, a foreign sound with English prosody, or beyond a voice."""
    kind = r.random()
    if kind < 0.3:
        v = [r.choice(english)] * 4
        return v, [1, 0, 0, 0], [1, 0, 0, 0]
    if kind < 0.6:
        v, w = r.sample(english, 4), [*simplex(r, r.choice([2, 3])), 0, 0][:4]
        w += [0] * (4 - len(w))
        return v, w, w
    if kind < 0.85:
        v = [*r.sample(others, 2), *r.sample(english, 2)]
        share = r.uniform(0.4, 1)
        a, b = simplex(r, 2), simplex(r, 2)
        return v, [share * a[0], share * a[1], (1 - share) * b[0], (1 - share) * b[1]], [0, 0, b[0], b[1]]
    v, push = r.sample(english, 4), r.uniform(0.1, 0.35)
    a = [1 + push, -push / 3, -push / 3, -push / 3]
    return v, a, simplex(r, 4)


def pack(rows: list[list[int]]) -> tuple[np.ndarray, np.ndarray]:
    return np.concatenate([np.array(x, np.int16) for x in rows]), np.cumsum(
        [0] + [len(x) for x in rows]
    ).astype(np.int32)


def labels(sentence: str) -> list[int]:
    known = lexicon()
    return [PHONES.index(p) + 1 for w in sentence.split() for p in known[w][0].split()]


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("sentences", type=pathlib.Path)
    p.add_argument("voices", type=pathlib.Path)
    p.add_argument("out")
    p.add_argument("--judge", action="store_true")
    p.add_argument("--seed", type=int, default=1)
    a = p.parse_args()
    from kokoro_onnx.tokenizer import Tokenizer

    r, tokenizer = random.Random(a.seed), Tokenizer()
    names = sorted(f.stem for f in a.voices.glob("*.bin") if f.stem not in KEPT)
    names = HELD_OUT if a.judge else [n for n in names if n not in HELD_OUT]
    bank = np.stack([np.fromfile(a.voices / f"{n}.bin", np.float32).reshape(-1, 256)[:ROWS] for n in names])
    english = [i for i, n in enumerate(names) if n[0] in "ab"]
    others = [i for i, n in enumerate(names) if n[0] not in "ab"]
    ids, heard, mixes, speeds, text = [], [], [], [], []
    for k, sentence in enumerate(a.sentences.read_text(encoding="utf-8").splitlines()):
        if a.judge:
            v: Mix = [k % len(names)] * 4, [1, 0, 0, 0], [1, 0, 0, 0]
        else:
            v = voice(r, english, others)
        main_voice = names[v[0][int(np.argmax(v[2]))]]
        language = r.choice(BRITISH if main_voice[0] == "b" else AMERICAN)
        if a.judge:
            language = "en-gb" if main_voice[0] == "b" else "en-us"
        tokens = tokenizer.tokenize(tokenizer.phonemize(sentence, language))
        if not 0 < len(tokens) < ROWS - 2:
            continue
        ids.append([0, *tokens, 0])
        heard.append(labels(sentence))
        mixes.append([*v[0], *v[1], *v[2]])
        # speed of talking; and a shift of pitch and formants, which the speaker makes by playing faster or slower
        speeds.append(
            [1.0, 1.0]
            if a.judge
            else [
                r.choice([0.85, 0.95, 1, 1, 1.1, 1.2, 1.35, 1.5]),
                r.uniform(0.86, 1.17) if r.random() < 0.6 else 1.0,
            ]
        )
        text.append(sentence)
    (i, i_at), (h, h_at) = pack(ids), pack(heard)
    np.savez_compressed(
        a.out, ids=i, ids_at=i_at, labels=h, labels_at=h_at, mix=np.array(mixes, np.float16), speed=np.array(speeds, np.float16),
        bank=bank.astype(np.float16), text=np.array(text),
    )  # fmt: skip
    print(len(ids), "jobs,", len(english), "English voices,", len(others), "others, tokens", len(i))


if __name__ == "__main__":
    main()
