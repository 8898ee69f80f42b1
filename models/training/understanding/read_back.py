"""Reads the shipped net back, so that a training may begin as it: ``uv run --with safetensors python -m models.training.understanding.read_back OUT``.

From CTranslate2's file in 8 bits (``models/understanding``) to the weights and ``pieces.json`` of ``train.py --earlier``.
"""

import argparse
import json
import struct
from pathlib import Path

import numpy as np
from safetensors.numpy import save_file

from intents.meaning import FOLDER

LAYERS, WIDTH = 6, 384
TYPES = {0: np.float32, 1: np.int8, 2: np.int16, 3: np.int32, 4: np.float16}


def variables(path):
    """Return the arrays of CTranslate2's file by their names."""
    held, at = path.read_bytes(), 0

    def number(kind):
        nonlocal at
        (value,) = struct.unpack_from(f"<{kind}", held, at)
        at += struct.calcsize(kind)
        return value

    def text():
        nonlocal at
        length = number("H")
        at += length
        return held[at - length : at - 1].decode()

    number("I"), text(), number("I")  # the file's version, the model's name and version
    found = {}
    for _ in range(number("I")):
        name = text()
        shape = [number("I") for _ in range(number("B"))]
        kind, size = number("B"), number("I")
        found[name] = np.frombuffer(held[at : at + size], TYPES[kind]).reshape(shape)
        at += size
    return found


def state_of(found, heads):
    """Return the weights under the names of ``encoder.Net``."""

    def weight(name):
        whole = found[f"{name}/weight"].astype(np.float32)
        scale = found.get(f"{name}/weight_scale")
        return whole if scale is None else whole / scale.reshape(-1, 1)

    state = {
        "pieces.weight": weight("encoder/embeddings_0"),
        "positions.weight": found["encoder/position_encodings/encodings"],
        "norm.weight": found["encoder/layernorm_embedding/gamma"],
        "norm.bias": found["encoder/layernorm_embedding/beta"],
    }
    linear = {"out": "self_attention/linear_1", "up": "ffn/linear_0", "down": "ffn/linear_1"}
    normal = {"after_attention": "self_attention/layer_norm", "after_feed": "ffn/layer_norm"}
    for layer in range(LAYERS):
        theirs, ours = f"encoder/layer_{layer}", f"layers.{layer}"
        whole, bias = (
            weight(f"{theirs}/self_attention/linear_0"),
            found[f"{theirs}/self_attention/linear_0/bias"],
        )
        for i, part in enumerate(("query", "key", "value")):
            state[f"{ours}.{part}.weight"] = whole[WIDTH * i : WIDTH * (i + 1)]
            state[f"{ours}.{part}.bias"] = bias[WIDTH * i : WIDTH * (i + 1)]
        for name, path in linear.items():
            state[f"{ours}.{name}.weight"] = weight(f"{theirs}/{path}")
            state[f"{ours}.{name}.bias"] = found[f"{theirs}/{path}/bias"]
        for name, path in normal.items():
            state[f"{ours}.{name}.weight"] = found[f"{theirs}/{path}/gamma"]
            state[f"{ours}.{name}.bias"] = found[f"{theirs}/{path}/beta"]
    for head in ("intents", "acts", "danger", "roles"):
        for part in ("weight", "bias"):
            state[f"{head}.{part}"] = heads[f"{head}_{part}"]
    return {name: np.ascontiguousarray(array.astype(np.float16)) for name, array in state.items()}


def main():
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("out", type=Path)
    out = asked.parse_args().out
    out.mkdir(parents=True, exist_ok=True)
    save_file(
        state_of(variables(FOLDER / "model.bin"), np.load(FOLDER / "heads.npz")), out / "net_0.safetensors"
    )
    pieces = json.loads((FOLDER / "vocabulary.json").read_text(encoding="utf-8"))
    (out / "pieces.json").write_text(json.dumps(pieces), encoding="utf-8")


if __name__ == "__main__":
    main()
