"""Plan the speaking: which sentence, in which voice, how fast, and the phones that are heard. Needs no GPU.

python jobs.py SENTENCES.txt VOICES_FOLDER OUT.npz            training voices and mixtures of them
python jobs.py SENTENCES.txt VOICES_FOLDER OUT.npz --judge    the held-out voices, plain (nothing is trained on these)
python jobs.py PLAN.csv VOICES_FOLDER OUT.npz --plan          columns text, voice, speed, language: each as it says

With --language es the sentences are Spanish: spoken with the prosody of the voices made for Spanish and Portuguese and
any voice's sound, a quarter by English voices.

VOICES_FOLDER is `voices/` of the npm package kokoro-js: a style table of 510 x 256 float32 a voice.
"""

from __future__ import annotations

import argparse
import csv
import pathlib
import random
from collections.abc import Iterator

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
HELD_OUT_ES = ["em_alex", "pm_alex", "if_sara", "im_nicola"]  # unheard as well; they judge Spanish
NATIVE_ES = ["ef_dora", "em_santa", "pf_dora", "pm_santa"]
LEARNERS = 0.25  # share of Spanish that English voices speak
SPANISH = ["es-419"] * 2 + ["es"]
ROWS = 140  # style rows kept: one for each token count
AMERICAN = ["en-us"] * 6 + ["en-us-nyc"]
BRITISH = ["en-gb"] * 4 + ["en-gb-scotland", "en-gb-x-rp", "en-029"]
Planned = tuple[
    str, "Mix", list[float], str
]  # what is said, by whom, speed and shift, espeak-ng's name of the accent
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


def one_voice(k: int) -> Mix:
    return [k] * 4, [1, 0, 0, 0], [1, 0, 0, 0]


def judged(sentences: list[str], names: list[str]) -> Iterator[Planned]:
    for k, sentence in enumerate(sentences):
        at = k % len(names)
        yield sentence, one_voice(at), [1.0, 1.0], "en-gb" if names[at][0] == "b" else "en-us"


def as_planned(path: pathlib.Path, names: list[str]) -> Iterator[Planned]:
    with path.open(encoding="utf-8", newline="") as rows:
        for row in csv.DictReader(rows):
            spoken = "es-419" if row["language"] == "es" else "en-gb" if row["voice"][0] == "b" else "en-us"
            yield row["text"], one_voice(names.index(row["voice"])), [float(row["speed"]), 1.0], spoken


def mixed(sentences: list[str], names: list[str], language: str, r: random.Random) -> Iterator[Planned]:
    """Each sentence by a speaker of its own, at a speed and with a shift of pitch and formants."""
    english = [i for i, n in enumerate(names) if n[0] in "ab"]
    native = [i for i, n in enumerate(names) if n in NATIVE_ES] if language == "es" else english
    others = [i for i in range(len(names)) if i not in native]
    foreign = [i for i in range(len(names)) if i not in english]
    for sentence in sentences:
        learner = language == "es" and r.random() < LEARNERS
        v = voice(r, english, foreign) if learner else voice(r, native, others)
        main_voice = names[v[0][int(np.argmax(v[2]))]]
        spoken = r.choice(SPANISH if language == "es" else BRITISH if main_voice[0] == "b" else AMERICAN)
        # speed of talking; and the shift, which the speaker makes by playing faster or slower
        speed = [
            r.choice([0.85, 0.95, 1, 1, 1.1, 1.2, 1.35, 1.5]),
            r.uniform(0.86, 1.17) if r.random() < 0.6 else 1.0,
        ]
        yield sentence, v, speed, spoken


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("sentences", type=pathlib.Path)
    p.add_argument("voices", type=pathlib.Path)
    p.add_argument("out")
    p.add_argument("--judge", action="store_true")
    p.add_argument("--plan", action="store_true")
    p.add_argument("--language", choices=("en", "es"), default="en")
    p.add_argument("--seed", type=int, default=1)
    a = p.parse_args()
    from kokoro_onnx.tokenizer import Tokenizer

    r, tokenizer = random.Random(a.seed), Tokenizer()
    held = [*HELD_OUT, *HELD_OUT_ES]
    names = sorted(f.stem for f in a.voices.glob("*.bin") if f.stem not in KEPT)
    names = HELD_OUT if a.judge else held if a.plan else [n for n in names if n not in held]
    bank = np.stack([np.fromfile(a.voices / f"{n}.bin", np.float32).reshape(-1, 256)[:ROWS] for n in names])
    if a.plan:
        planned = as_planned(a.sentences, names)
    else:
        sentences = a.sentences.read_text(encoding="utf-8").splitlines()
        planned = judged(sentences, names) if a.judge else mixed(sentences, names, a.language, r)
    ids, heard, mixes, speeds, text, languages = [], [], [], [], [], []
    for sentence, v, speed, spoken in planned:
        tokens = tokenizer.tokenize(tokenizer.phonemize(sentence, spoken))
        if not 0 < len(tokens) < ROWS - 2:
            continue
        ids.append([0, *tokens, 0])
        heard.append([] if spoken.startswith("es") or a.plan else labels(sentence))
        mixes.append([*v[0], *v[1], *v[2]])
        speeds.append(speed)
        text.append(sentence)
        languages.append("es" if spoken.startswith("es") else "en")
    (i, i_at), (h, h_at) = pack(ids), pack(heard)
    np.savez_compressed(
        a.out, ids=i, ids_at=i_at, labels=h, labels_at=h_at, mix=np.array(mixes, np.float16), speed=np.array(speeds, np.float16),
        bank=bank.astype(np.float16), text=np.array(text), language=np.array(languages),
    )  # fmt: skip
    print(len(ids), "jobs,", len(names), "voices, tokens", len(i))


if __name__ == "__main__":
    main()
