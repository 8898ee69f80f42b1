"""Average what two runs learnt, and keep the strongest part: python whisper_join.py OUT.npz ONE.npz OTHER.npz [--rank 56] [--scale 0.65]

Runs differ by chance in what they get wrong; the mean of their changes hears better than either. A scale below one goes
back some of the way to the untaught model, which knows people.
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
    p.add_argument("one")
    p.add_argument("other")
    p.add_argument("--rank", type=int, default=56)
    p.add_argument("--scale", type=float, default=1.0)
    a = p.parse_args()
    one, other = ({k: v.astype(np.float32) for k, v in np.load(f).items()} for f in (a.one, a.other))
    out, half = {}, a.scale / 2
    for key in one:
        name, _, part = key.rpartition(":")
        if part == "add":
            out[key] = ((one[key] + other[key]) * half).astype(np.float16)
        elif part == "up":
            down = f"{name}:down"
            up = np.concatenate([one[key] * half, other[key] * half], 1)
            out[key], out[down] = joined(up, np.concatenate([one[down], other[down]], 0), a.rank)
    np.savez_compressed(a.out, **out)


if __name__ == "__main__":
    main()
