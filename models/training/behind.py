"""Put numbers that people say behind places that synthetic voices say: python behind.py PEOPLE.npz SPEECH.npz JOBS.npz OUT.npz

Nobody recorded people who say a place and a number, so a clip of SPEECH that ends with a place (or "walk in is at") gets one of the
numbers of PEOPLE (people.py --phones) behind it, about as loud and after a short pause.
"""

from __future__ import annotations

import argparse
import re

import numpy as np
from sentences import BUCKETS, PLACES

PLACE = re.compile(rf"(.* )?({'|'.join([*PLACES, *BUCKETS])})( is| at| reads| was)*")
PAUSE = 4000


def parts(z: dict[str, np.ndarray], k: int) -> tuple[np.ndarray, np.ndarray]:
    """Samples and labels of clip `k`."""
    return z["audio"][z["at"][k] : z["at"][k + 1]], z["labels"][z["labels_at"][k] : z["labels_at"][k + 1]]


def loudness(x: np.ndarray) -> float:
    """Root mean square of the louder half."""
    power = np.sort(x.astype(np.float64) ** 2)
    return float(np.sqrt(power[len(power) // 2 :].mean())) + 1.0


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("people")
    p.add_argument("speech")
    p.add_argument("jobs")
    p.add_argument("out")
    p.add_argument("--count", type=int, default=4000)
    p.add_argument("--seed", type=int, default=1)
    a = p.parse_args()
    rng = np.random.default_rng(a.seed)
    theirs, speech, text = dict(np.load(a.people)), dict(np.load(a.speech)), np.load(a.jobs)["text"]
    places = [k for k, job in enumerate(speech["job"]) if PLACE.fullmatch(str(text[job]))]
    numbers = np.flatnonzero(theirs["number"])
    sounds, labels = [], []
    for _ in range(a.count if places else 0):
        (said, first), (number, second) = (
            parts(speech, rng.choice(places)),
            parts(theirs, rng.choice(numbers)),
        )
        louder = number * (loudness(said) / loudness(number)) * 10 ** (rng.normal(0, 2) / 20)
        whole = np.concatenate([said, np.zeros(rng.integers(PAUSE)), louder])
        sounds.append(np.round(whole / np.abs(whole).max() * 20000).astype(np.int16))
        labels.append(np.concatenate([first, second]))
    np.savez(
        a.out,
        audio=np.concatenate(sounds),
        at=np.cumsum([0] + [len(x) for x in sounds]),
        labels=np.concatenate(labels),
        labels_at=np.cumsum([0] + [len(x) for x in labels]),
    )
    print(len(places), "clips of places,", len(sounds), "with a number behind")


if __name__ == "__main__":
    main()
