"""Speak planned sentences with the formant and unit-selection voices of espeak-ng and flite, many at once on the CPUs.

python robots.py JOBS.npz OUT.npz --espeak LIBRARY DATA_FOLDER --flite PROGRAM --count 9000 --workers 16

LIBRARY and DATA_FOLDER are those of the package espeakng-loader. Output as speak.py's.
"""

from __future__ import annotations

import argparse
import ctypes
import multiprocessing
import random
import subprocess
import tempfile

import numpy as np
from scipy.io import wavfile
from scipy.signal import resample_poly

ACCENTS = {
    "en": ["en-us", "en-us", "en-gb", "en-gb-x-rp", "en-gb-scotland", "en-029", "en-us-nyc"],
    "es": ["es", "es-419", "es-419"],
}
VARIANTS = """m1 m2 m3 m4 m5 m6 m7 m8 f1 f2 f3 f4 f5 Alex Alicia Andrea Andy Annie Denis Diogo Gene Gene2 Jacky Lee Marco
Mario Michael Mike Nguyen Storm adam anika antonio aunty belinda benjamin boris caleb david ed edward grandma grandpa
gustave iven iven2 john kaukovalta klatt klatt2 klatt3 klatt4 linda max michel norbert pablo paul pedro quincy rob robert
sandro shelby steph steph2 travis victor whisper whisperf zac""".split()
FLITE = {"awb": 120, "rms": 100, "slt": 165, "kal16": 110}  # voice: usual pitch, Hz
_espeak: tuple[ctypes.CDLL, list[bytes], object] | None = None


def espeak(library: str, data: str) -> tuple[ctypes.CDLL, list[bytes], object]:
    """The library, set to hand samples over, and the list they are put in."""
    global _espeak
    if _espeak is None:
        lib, got = ctypes.CDLL(library), []

        @ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_int, ctypes.c_void_p)
        def receive(samples: int | None, count: int, events: int | None) -> int:
            if samples and count:
                got.append(ctypes.string_at(samples, count * 2))
            return 0

        if lib.espeak_Initialize(2, 0, data.encode(), 0) != 22050:
            raise RuntimeError(
                f"espeak-ng finds no voices in {data}: name the folder that holds espeak-ng-data"
            )
        lib.espeak_SetSynthCallback(receive)
        _espeak = lib, got, receive
    return _espeak


def by_espeak(text: str, language: str, r: random.Random, a: argparse.Namespace) -> tuple[np.ndarray, int]:
    lib, got, _ = espeak(*a.espeak)
    lib.espeak_SetVoiceByName(f"{r.choice(ACCENTS[language])}+{r.choice(VARIANTS)}".encode())
    for parameter, value in (
        (1, r.randint(120, 240)),
        (3, r.randint(25, 75)),
        (4, r.randint(30, 70)),
    ):  # rate, pitch, range
        lib.espeak_SetParameter(parameter, value, 0)
    got.clear()
    line = text.encode()
    lib.espeak_Synth(line, len(line) + 1, 0, 1, 0, 1, None, None)
    lib.espeak_Synchronize()
    return np.frombuffer(b"".join(got), np.int16).astype(np.float32), 22050


def by_flite(text: str, r: random.Random, a: argparse.Namespace) -> tuple[np.ndarray, int]:
    name, pitch = r.choice(list(FLITE.items()))
    settings = {
        "duration_stretch": r.uniform(0.75, 1.25),
        "int_f0_target_mean": pitch * r.uniform(0.85, 1.2),
        "int_f0_target_stddev": r.uniform(8, 30),
    }
    with tempfile.NamedTemporaryFile(suffix=".wav") as out:
        options = [x for k, v in settings.items() for x in ("--setf", f"{k}={v:.2f}")]
        subprocess.run(
            [a.flite, "-voice", name, *options, "-t", text, "-o", out.name], check=True, capture_output=True
        )
        rate, samples = wavfile.read(out.name)
    return samples.astype(np.float32), int(rate)


def one(job: tuple[int, str, str, argparse.Namespace]) -> np.ndarray | None:
    seed, text, language, a = job
    r = random.Random(seed)
    by_other = a.flite and language == "en" and r.random() < 0.35
    x, rate = by_flite(text, r, a) if by_other else by_espeak(text, language, r, a)
    shift = r.uniform(0.88, 1.15)
    x = resample_poly(x, 160, round(160 * rate * shift / 16000)) if len(x) else x
    if len(x) < 4000 or not x.any():
        return None
    loud = np.flatnonzero(np.abs(x) > 0.012 * np.abs(x).max())
    x = x[max(0, loud[0] - 800) : loud[-1] + 1600]
    return np.round(x / np.abs(x).max() * 20000).astype(np.int16)


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("jobs")
    p.add_argument("out")
    p.add_argument("--espeak", nargs=2, required=True)
    p.add_argument("--flite")
    p.add_argument("--count", type=int, default=9000)
    p.add_argument("--workers", type=int, default=16)
    p.add_argument("--seed", type=int, default=1)
    a = p.parse_args()
    jobs = dict(np.load(a.jobs))
    which = random.Random(a.seed).sample(range(len(jobs["text"])), a.count)
    rows = [(str(jobs["text"][k]), str(jobs["language"][k]) if "language" in jobs else "en") for k in which]
    with multiprocessing.Pool(a.workers) as pool:
        clips = pool.map(one, [(a.seed * 100000 + k, *row, a) for k, row in enumerate(rows)], chunksize=20)
    heard = [jobs["labels"][jobs["labels_at"][k] : jobs["labels_at"][k + 1]] for k in which]
    made = [(x, y, k) for x, y, k in zip(clips, heard, which, strict=True) if x is not None]
    np.savez(
        a.out, audio=np.concatenate([x for x, _, _ in made]), at=np.cumsum([0] + [len(x) for x, _, _ in made]),
        labels=np.concatenate([y for _, y, _ in made]), labels_at=np.cumsum([0] + [len(y) for _, y, _ in made]),
        job=np.array([k for _, _, k in made]),
    )  # fmt: skip
    print(f"{len(made)} clips, {sum(len(x) for x, _, _ in made) / 16000 / 3600:.2f} hours")


if __name__ == "__main__":
    main()
