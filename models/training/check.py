"""Read am/final.mdl back and compute what it says, in numpy; compare with torch.

python check.py MODEL_FOLDER WEIGHTS.npz     prints the largest difference of log-probabilities; exit code 1 above 0.01

The GPU rounded products to 10 bits and weights were saved with 11, so what it said while training differs a little more.
"""

from __future__ import annotations

import pathlib
import re
import struct
import sys

import numpy as np
import torch
from network import Net, mfcc_tables


def features(x: np.ndarray) -> np.ndarray:
    """Kaldi MFCC of int16 samples at 16 kHz: [frames, 40] float64."""
    window, filters, cosine = mfcc_tables()
    f = np.lib.stride_tricks.sliding_window_view(x.astype(np.float64), 400)[::160]
    f = f - f.mean(1, keepdims=True)
    f = np.concatenate([f[:, :1] * 0.03, f[:, 1:] - 0.97 * f[:, :-1]], 1) * window
    power = np.abs(np.fft.rfft(f, 512)) ** 2
    return np.log(np.maximum(power @ filters, 1.1920929e-07)) @ cosine


def read(path: pathlib.Path) -> tuple[list[str], dict[str, tuple[np.ndarray, np.ndarray]]]:
    """Node lines and affine components (matrix, bias) of an exported model file."""
    raw = path.read_bytes()
    head = raw.index(b"<Nnet3> \n") + 9
    end = raw.index(b"\n\n", head)
    affine = {}
    for m in re.finditer(rb"<ComponentName> (\w+) <FixedAffineComponent> <LinearParams> (CM2|FM) ", raw):
        if m[2] == b"FM":
            rows, columns = struct.unpack_from("<xixi", raw, m.end())
            low, step, kind, at = 0.0, 1.0, "<f4", m.end() + 10
        else:
            low, span, rows, columns = struct.unpack_from("<ffii", raw, m.end())
            step, kind, at = span / 65535, "<u2", m.end() + 16
        w = low + np.frombuffer(raw, kind, rows * columns, at).reshape(rows, columns) * step
        at += rows * columns * int(kind[-1]) + len(b"<BiasParams> FV ") + 5
        affine[m[1].decode()] = w, np.frombuffer(raw, "<f4", rows, at)
    return raw[head:end].decode().splitlines(), affine


def forward(lines: list[str], affine: dict[str, tuple[np.ndarray, np.ndarray]], f: np.ndarray) -> np.ndarray:
    """Log-probabilities [ceil(frames / 3), outputs], walking the node lines; edge frames are repeated."""
    pad = 400
    values = {"input": np.concatenate([np.repeat(f[:1], pad, 0), f, np.repeat(f[-1:], pad, 0)])}
    for line in lines[1:]:
        name, source = re.search(r"name=(\S+)", line)[1], re.search(r"input=(.*?)( objective.*)?$", line)[1]
        if source.startswith("Sum("):
            a, b = source[4:-1].split(", ")
            x = values[a] + values[b]
        else:
            taps = re.findall(r"Offset\((\w+), (-?\d+)\)|(\w+)", source.removeprefix("Append("))
            x = np.concatenate([np.roll(values[n or plain], -int(t or 0), 0) for n, t, plain in taps], 1)
        if name in affine:
            x = x @ affine[name][0].T + affine[name][1]
        elif name.startswith("r"):
            x = np.maximum(x, 0)
        elif name == "log_softmax":
            x = x - x.max(1, keepdims=True)
            x = x - np.log(np.exp(x).sum(1, keepdims=True))
        values[name] = x
    return values["output"][pad : pad + len(f) : 3]


def main() -> None:
    folder, weights = pathlib.Path(sys.argv[1]), dict(np.load(sys.argv[2]))
    lines, affine = read(folder / "am" / "final.mdl")
    f = features(weights["check_in"])
    mine = forward(lines, affine, f)
    with torch.no_grad():
        theirs = Net.unfolded(weights)(torch.tensor(f, dtype=torch.float32)[None])[0].numpy()
    difference = float(np.abs(mine - theirs).max())
    gpu = float(np.abs(mine - weights["check_out"]).max())
    print(
        f"largest difference of log-probabilities: torch on this CPU {difference:.5f}, the GPU while training {gpu:.3f}"
    )
    raise SystemExit(difference > 0.01)


if __name__ == "__main__":
    main()
