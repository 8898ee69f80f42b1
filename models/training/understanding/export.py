"""Writes the taught net as the program reads it: ``uv run python -m models.training.understanding.export NET ROWS.json OUT``.

The encoder goes to CTranslate2's file in 8 bits, the heads to ``heads.npz``, the word pieces to ``vocabulary.json`` and
the names of intents, acts and roles to ``labels.json``. ``check.json`` of the training, if it is there, is compared.
"""

import argparse
import json
from pathlib import Path

import ctranslate2
import numpy as np
from ctranslate2.specs import common_spec, transformer_spec
from models.training.understanding.rows import known_words
from safetensors.numpy import load_file

LAYERS, HEADS = 6, 12


def linear(spec, state, name):
    spec.weight, spec.bias = state[f"{name}.weight"], state[f"{name}.bias"]


def normalising(spec, state, name):
    spec.gamma, spec.beta = state[f"{name}.weight"], state[f"{name}.bias"]


def encoder_of(state, pieces):
    """Return the encoder as CTranslate2 describes it."""
    encoder = transformer_spec.TransformerEncoderSpec(
        LAYERS, HEADS, pre_norm=False, activation=common_spec.Activation.GELU, layernorm_embedding=True
    )
    encoder.scale_embeddings = False
    encoder.embeddings[0].weight = state["pieces.weight"]
    encoder.position_encodings.encodings = state["positions.weight"]
    normalising(encoder.layernorm_embedding, state, "norm")
    for number, layer in enumerate(encoder.layer):
        name = f"layers.{number}"
        attention = layer.self_attention
        attention.linear[0].weight = np.concatenate(
            [state[f"{name}.{p}.weight"] for p in ("query", "key", "value")]
        )
        attention.linear[0].bias = np.concatenate(
            [state[f"{name}.{p}.bias"] for p in ("query", "key", "value")]
        )
        linear(attention.linear[1], state, f"{name}.out")
        normalising(attention.layer_norm, state, f"{name}.after_attention")
        linear(layer.ffn.linear_0, state, f"{name}.up")
        linear(layer.ffn.linear_1, state, f"{name}.down")
        normalising(layer.ffn.layer_norm, state, f"{name}.after_feed")
    spec = transformer_spec.TransformerEncoderModelSpec(encoder)
    spec.register_vocabulary(pieces)
    spec.config.unk_token = "[UNK]"
    spec.config.layer_norm_epsilon = 1e-12
    spec.validate()
    spec.optimize(quantization="int8")
    return spec


def main() -> None:
    """Write the files."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("net", type=Path)
    asked.add_argument("rows", type=Path)
    asked.add_argument("out", type=Path)
    given = asked.parse_args()
    data = json.loads(given.rows.read_text(encoding="utf-8"))
    state = {}
    for path in sorted(given.net.glob("net_*.safetensors")):
        state |= {name: array.astype(np.float32) for name, array in load_file(path).items()}
    given.out.mkdir(parents=True, exist_ok=True)
    encoder_of(state, data["pieces"]).save(str(given.out))
    parts = {
        f"{h}_{p}": state[f"{h}.{p}"].astype(np.float16)
        for h in ("intents", "acts", "danger", "roles")
        for p in ("weight", "bias")
    }
    np.savez_compressed(given.out / "heads.npz", **parts)
    labels = {kind: list(data[kind]) for kind in ("intents", "acts", "roles")}
    (given.out / "labels.json").write_text(json.dumps(labels, indent=0), encoding="utf-8")
    (given.out / "words.json").write_text(json.dumps(known_words(data["rows"])), encoding="utf-8")
    print({p.name: p.stat().st_size for p in sorted(given.out.iterdir())}, ctranslate2.__version__)


if __name__ == "__main__":
    main()
