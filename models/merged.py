"""Write a model and its learnt change as one file of 8 bits: python -m models.merged BASE CHANGE.npz TARGET

BASE and TARGET are folders of a converted model; the small files beside ``model.bin`` are copied. Each row of
a matrix becomes whole numbers of -127 to 127 and one factor, as the library itself does when it loads 16.
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import numpy as np

from models.adapted import adapted
from models.converted import Array, Converted, parse_converted

BESIDE = ("config.json", "tokenizer.json", "vocabulary.txt")
_SCALED = ("/linear_0", "/linear_1", "/linear_2", "/embeddings", "/projection")
"""Layers whose ``weight`` is scaled. The two convolutions are not: 8 bits change what they compute."""


def in_eight_bits(whole: Converted) -> Converted:
    """Return the model with every matrix in 8 bits and everything else as it was."""
    arrays: dict[str, Array] = {}
    for name, array in whole.arrays.items():
        layer, _, part = name.rpartition("/")
        if part == "weight" and layer.endswith(_SCALED):
            arrays[name], arrays[f"{name}_scale"] = quantised(array)
        else:
            arrays[name] = array
    aliases = [
        *whole.aliases,
        *((f"{name}_scale", f"{to}_scale") for name, to in whole.aliases if f"{to}_scale" in arrays),
    ]
    return Converted(whole.spec, whole.revision, dict(sorted(arrays.items())), tuple(aliases))


def quantised(matrix: Array) -> tuple[Array, Array]:
    """Return a matrix (rows first, further axes within a row) as int8 with one factor a row (float32)."""
    rows = matrix.astype(np.float32).reshape(matrix.shape[0], -1)
    largest = np.abs(rows).max(axis=1)
    largest[largest == 0] = 127.0
    scale = np.float32(127.0) / largest
    return np.rint(rows * scale[:, None]).astype(np.int8).reshape(matrix.shape), scale


def main(arguments: list[str]) -> int:
    """Merge, write, and say how large it is."""
    if len(arguments) != 3:
        print(__doc__, file=sys.stderr)
        return 2
    base, change, target = (Path(argument) for argument in arguments)
    target.mkdir(parents=True, exist_ok=True)
    content = in_eight_bits(parse_converted(adapted(base / "model.bin", change))).to_bytes()
    (target / "model.bin").write_bytes(content)
    for name in BESIDE:
        shutil.copyfile(base / name, target / name)
    print(f"{target / 'model.bin'}: {len(content) / 1e6:.1f} MB")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
