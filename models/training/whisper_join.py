"""Average what runs learnt, and keep the strongest part: python whisper_join.py OUT.npz ONE.npz OTHER.npz... [--rank 56] [--scale 0.65]

Runs differ by chance in what they get wrong; the mean of their changes hears better than either. A scale below one goes
back some of the way to the untaught model, which knows people. --weights: a share of each instead of the mean.
"""

from __future__ import annotations

import argparse

import numpy as np


def joined(up: np.ndarray, down: np.ndarray, rank: int) -> tuple[np.ndarray, np.ndarray]:
    """The best product of two thin matrices of `rank` for up @ down."""
    q, r = np.linalg.qr(up)
    u, s, v = np.linalg.svd(r @ down, full_matrices=False)
    root = np.sqrt(s[:rank])
    return (q @ u[:, :rank] * root).astype(np.float16), (root[:, None] * v[:rank]).astype(np.float16)


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("out")
    p.add_argument("runs", nargs="+")
    p.add_argument("--weights", nargs="+", type=float)
    p.add_argument("--rank", type=int, default=56)
    p.add_argument("--scale", type=float, default=1.0)
    a = p.parse_args()
    runs = [{k: v.astype(np.float32) for k, v in np.load(f).items()} for f in a.runs]
    shares = [w * a.scale for w in a.weights or [1 / len(runs)] * len(runs)]
    out: dict[str, np.ndarray] = {}
    for key in runs[0]:
        name, _, part = key.rpartition(":")
        if part == "add":
            out[key] = sum(w * run[key] for w, run in zip(shares, runs, strict=True)).astype(np.float16)
        elif part == "up":
            down = f"{name}:down"
            up = np.concatenate([w * run[key] for w, run in zip(shares, runs, strict=True)], 1)
            out[key], out[down] = joined(up, np.concatenate([run[down] for run in runs], 0), a.rank)
    np.savez_compressed(a.out, **out)


if __name__ == "__main__":
    main()
