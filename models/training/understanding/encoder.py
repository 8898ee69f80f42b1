"""The net: six transformer layers over word pieces, and four heads. Plain PyTorch, so that nothing else is needed.

Heads: the intent and the act of the whole sentence (of the mean of its vectors), whether a plain "yes" to it would
be dangerous, and the role of each word (of its first piece).
"""

import json
from dataclasses import dataclass
from pathlib import Path

import torch
import torch.nn.functional as F
from safetensors.torch import load_file
from torch import nn

WIDTH, HEADS, LAYERS = 384, 12, 6


class Layer(nn.Module):
    """One layer of self-attention and feed-forward, normalised after each."""

    def __init__(self):
        super().__init__()
        self.query, self.key, self.value, self.out = (nn.Linear(WIDTH, WIDTH) for _ in range(4))
        self.up, self.down = nn.Linear(WIDTH, 4 * WIDTH), nn.Linear(4 * WIDTH, WIDTH)
        self.after_attention, self.after_feed = (nn.LayerNorm(WIDTH, eps=1e-12) for _ in range(2))
        self.drop = nn.Dropout(0.1)

    def forward(self, x, mask):
        batch, length, _ = x.shape

        def split(y):
            return y.view(batch, length, HEADS, WIDTH // HEADS).transpose(1, 2)

        seen = F.scaled_dot_product_attention(
            split(self.query(x)), split(self.key(x)), split(self.value(x)), attn_mask=mask
        )
        seen = seen.transpose(1, 2).reshape(batch, length, WIDTH)
        x = self.after_attention(x + self.drop(self.out(seen)))
        return self.after_feed(x + self.drop(self.down(F.gelu(self.up(x)))))


@dataclass
class Heard:
    """What the net says of a batch: logits."""

    intents: torch.Tensor  # (batch, intents)
    acts: torch.Tensor  # (batch, acts)
    danger: torch.Tensor  # (batch,)
    roles: torch.Tensor  # (batch, pieces, roles)


class Net(nn.Module):
    """The encoder with its heads."""

    def __init__(self, pieces, intents, acts, roles):
        super().__init__()
        self.pieces = nn.Embedding(pieces, WIDTH)
        self.positions = nn.Embedding(512, WIDTH)
        self.norm = nn.LayerNorm(WIDTH, eps=1e-12)
        self.layers = nn.ModuleList(Layer() for _ in range(LAYERS))
        self.drop = nn.Dropout(0.1)
        self.intents, self.acts = nn.Linear(WIDTH, intents), nn.Linear(WIDTH, acts)
        self.danger, self.roles = nn.Linear(WIDTH, 1), nn.Linear(WIDTH, roles)

    def encoder_parameters(self):
        heads = {id(p) for m in (self.intents, self.acts, self.danger, self.roles) for p in m.parameters()}
        return [p for p in self.parameters() if id(p) not in heads]

    def head_parameters(self):
        return [p for m in (self.intents, self.acts, self.danger, self.roles) for p in m.parameters()]

    def vectors(self, ids, there):
        places = torch.arange(ids.shape[1], device=ids.device)
        x = self.drop(self.norm(self.pieces(ids) + self.positions(places)))
        mask = there[:, None, None, :]
        for layer in self.layers:
            x = layer(x, mask)
        return x

    def forward(self, ids, there, own):
        """Read pieces; ``there``: no padding; ``own``: of the sentence itself, not of what was said before it."""
        x = self.vectors(ids, there)
        weight = own.unsqueeze(-1).to(x.dtype)
        whole = self.drop((x * weight).sum(1) / weight.sum(1))
        return Heard(
            self.intents(whole), self.acts(whole), self.danger(whole).squeeze(-1), self.roles(self.drop(x))
        )


def load_pretrained(net: Net, folder: Path, kept: list[int]) -> None:
    """Fill the encoder with the pretrained weights, of whose word pieces only ``kept`` stay."""
    found = {
        k: v.float() for k, v in load_file(folder / "model.safetensors").items() if v.is_floating_point()
    }
    found = {k.removeprefix("bert."): v for k, v in found.items()}
    words = found["embeddings.word_embeddings.weight"] + found["embeddings.token_type_embeddings.weight"][0]
    state = {
        "pieces.weight": words[kept],
        "positions.weight": found["embeddings.position_embeddings.weight"],
        "norm.weight": found["embeddings.LayerNorm.weight"],
        "norm.bias": found["embeddings.LayerNorm.bias"],
    }
    names = {
        "query": "attention.self.query",
        "key": "attention.self.key",
        "value": "attention.self.value",
        "out": "attention.output.dense",
        "after_attention": "attention.output.LayerNorm",
        "up": "intermediate.dense",
        "down": "output.dense",
        "after_feed": "output.LayerNorm",
    }
    for layer in range(LAYERS):
        for ours, theirs in names.items():
            for part in ("weight", "bias"):
                state[f"layers.{layer}.{ours}.{part}"] = found[f"encoder.layer.{layer}.{theirs}.{part}"]
    missing, unexpected = net.load_state_dict(state, strict=False)
    assert not unexpected
    assert all(name.split(".")[0] in ("intents", "acts", "danger", "roles") for name in missing), missing


def pretrained_pieces(folder: Path) -> list[str]:
    """Return the pretrained word pieces in order."""
    found = json.loads((folder / "tokenizer.json").read_text(encoding="utf-8"))["model"]["vocab"]
    return sorted(found, key=found.__getitem__)
