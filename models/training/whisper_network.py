"""Whisper in torch, of any size, from CTranslate2's arrays, with low-rank changes that can be trained and taken out again.

`python whisper_network.py MODEL_FOLDER OUT.npz` writes the arrays for a machine where only torch is: matrices in 8 bits, and the
numbers of the tokens that stand for no words.
"""

from __future__ import annotations

import argparse
import json
import pathlib
import re
import sys
from typing import NamedTuple

import numpy as np
import torch
import torch.nn.functional as F
from torch import nn

T = torch.Tensor
TABLE = "decoder/embeddings/weight"
MARKS = ("endoftext", "startoftranscript", "startofprev", "nocaptions", "notimestamps", "en", "es")


class Marks(NamedTuple):
    """Tokens that stand for no words. The languages are -1 in a model that knows but one."""

    end: int
    start: int
    previous: int
    no_speech: int
    no_times: int
    english: int
    spanish: int


class Layers(nn.Module):
    """The arrays by name. Matrices stay as they are and get `rank` columns and rows beside them; all else is trained.

    The word table and the places of the encoder (a sum of sines) stay untouched.
    """

    def __init__(self, arrays: dict[str, np.ndarray], rank: int) -> None:
        super().__init__()
        self.fixed, self.low, self.free = {}, {}, {}
        for name, array in arrays.items():
            if array.dtype != np.float16:
                continue
            value = torch.from_numpy(array.astype(np.float32))
            key = name.replace("/", "-").replace(".", "_")
            if name.endswith("/weight") and value.ndim == 2 and name != TABLE:
                self.register_buffer(key, value)
                self.register_parameter(key + "-up", nn.Parameter(torch.zeros(value.shape[0], rank)))
                self.register_parameter(
                    key + "-down", nn.Parameter(torch.randn(rank, value.shape[1]) / value.shape[1] ** 0.5)
                )
                self.low[name] = key
            elif name in (TABLE, "encoder/position_encodings/encodings"):
                self.register_buffer(key, value)
                self.fixed[name] = key
            else:
                self.register_buffer(key + "-base", value)
                self.register_parameter(key, nn.Parameter(value.clone()))
                self.free[name] = key

    def get(self, name: str) -> T:
        if key := self.low.get(name):
            return getattr(self, key) + getattr(self, key + "-up") @ getattr(self, key + "-down")
        return getattr(self, self.free.get(name) or self.fixed[name])

    @torch.no_grad()
    def begin_with(self, learnt: dict[str, np.ndarray]) -> None:
        """Take up an earlier change; of its rank or more."""
        for name, key in self.low.items():
            up, down = (
                torch.from_numpy(learnt[f"{name}:{part}"].astype(np.float32)) for part in ("up", "down")
            )
            getattr(self, key + "-up")[:, : up.shape[1]] = up
            getattr(self, key + "-down")[: down.shape[0]] = down
        for name, key in self.free.items():
            more = torch.from_numpy(learnt[f"{name}:add"].astype(np.float32))
            getattr(self, key).add_(more.to(getattr(self, key).device))

    def changes(self) -> dict[str, np.ndarray]:
        """What was learnt, in 16 bits: NAME:up and NAME:down for matrices, NAME:add for the rest."""
        take = lambda x: x.detach().float().cpu().numpy().astype(np.float16)  # noqa: E731
        found = {}
        for name, key in self.low.items():
            found |= {
                f"{name}:up": take(getattr(self, key + "-up")),
                f"{name}:down": take(getattr(self, key + "-down")),
            }
        for name, key in self.free.items():
            found[f"{name}:add"] = take(getattr(self, key) - getattr(self, key + "-base"))
        return found


class Whisper(nn.Module):
    """encode: [batch, 80, frames] -> [batch, frames / 2, width]; decode: tokens [batch, n] -> states [batch, n, width]."""

    def __init__(self, arrays: dict[str, np.ndarray], rank: int) -> None:
        super().__init__()
        self.layers = Layers(arrays, rank)
        self.width = arrays["encoder/conv1/bias"].shape[0]
        self.heads = int(arrays["encoder/num_heads"])
        self.depth = 1 + max(int(found[1]) for name in arrays if (found := re.search(r"/layer_(\d+)/", name)))

    def linear(self, x: T, name: str) -> T:
        return F.linear(
            x, self.layers.get(name + "/weight").to(x.dtype), self.layers.get(name + "/bias").to(x.dtype)
        )

    def norm(self, x: T, name: str) -> T:
        return F.layer_norm(
            x,
            (self.width,),
            self.layers.get(name + "/gamma").to(x.dtype),
            self.layers.get(name + "/beta").to(x.dtype),
        )

    def attend(self, q: T, k: T, v: T, causal: bool) -> T:
        split = lambda x: x.unflatten(-1, (self.heads, -1)).transpose(1, 2)  # noqa: E731
        out = F.scaled_dot_product_attention(split(q), split(k), split(v), is_causal=causal)
        return out.transpose(1, 2).flatten(2)

    def own(self, x: T, name: str, causal: bool) -> T:
        q, k, v = self.linear(self.norm(x, name + "/layer_norm"), name + "/linear_0").chunk(3, -1)
        return x + self.linear(self.attend(q, k, v, causal), name + "/linear_1")

    def across(self, x: T, sound: T, name: str) -> T:
        q = self.linear(self.norm(x, name + "/layer_norm"), name + "/linear_0")
        k, v = self.linear(sound, name + "/linear_1").chunk(2, -1)
        return x + self.linear(self.attend(q, k, v, False), name + "/linear_2")

    def forward_block(self, x: T, name: str) -> T:
        hidden = F.gelu(self.linear(self.norm(x, name + "/layer_norm"), name + "/linear_0"))
        return x + self.linear(hidden, name + "/linear_1")

    def encode(self, mel: T) -> T:
        get = lambda name: self.layers.get("encoder/" + name).to(mel.dtype)  # noqa: E731
        x = F.gelu(F.conv1d(mel, get("conv1/weight"), get("conv1/bias"), padding=1))
        x = F.gelu(F.conv1d(x, get("conv2/weight"), get("conv2/bias"), stride=2, padding=1)).transpose(1, 2)
        x = x + get("position_encodings/encodings")[: x.shape[1]]
        for k in range(self.depth):
            x = self.forward_block(
                self.own(x, f"encoder/layer_{k}/self_attention", False), f"encoder/layer_{k}/ffn"
            )
        return self.norm(x, "encoder/layer_norm")

    def decode(self, tokens: T, sound: T) -> T:
        x = self.layers.get(TABLE)[tokens].to(sound.dtype)
        x = x + self.layers.get("decoder/position_encodings/encodings")[: x.shape[1]].to(x.dtype)
        for k in range(self.depth):
            x = self.own(x, f"decoder/layer_{k}/self_attention", True)
            x = self.across(x, sound, f"decoder/layer_{k}/attention")
            x = self.forward_block(x, f"decoder/layer_{k}/ffn")
        return self.norm(x, "decoder/layer_norm")

    def scores(self, states: T) -> T:
        return states @ self.layers.get(TABLE).to(states.dtype).T


class LogMel(nn.Module):
    """[batch, samples] in -1..1 -> [batch, 80, samples / 160], as faster-whisper's extractor makes them."""

    def __init__(self, filters: np.ndarray) -> None:
        super().__init__()
        self.register_buffer("filters", torch.from_numpy(filters.astype(np.float32)))
        self.register_buffer("window", torch.hann_window(400))

    def forward(self, x: T) -> T:
        spectrum = torch.stft(x, 400, 160, window=self.window, center=True, return_complex=True)
        power = self.filters @ spectrum[..., :-1].abs() ** 2
        level = torch.log10(power.clamp(min=1e-10))
        return (torch.maximum(level, level.amax((1, 2), keepdim=True) - 8) + 4) / 4


def load(path: pathlib.Path) -> tuple[dict[str, np.ndarray], np.ndarray, Marks]:
    """The arrays, the mel filters and the marks that `pack` wrote."""
    data = dict(np.load(path))
    marks, filters = Marks(*data.pop("marks").tolist()), data.pop("filters")
    for name in [name for name in data if name.endswith(":scale")]:
        scale = data.pop(name)
        name = name.removesuffix(":scale")
        data[name] = (data[name].astype(np.float32) * scale[:, None]).astype(np.float16)
    return data, filters, marks


def pack(folder: pathlib.Path, out: pathlib.Path) -> None:
    sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[2]))
    from tokenizers import Tokenizer

    from assistant.speech.log_mel import _bands
    from models.converted import read_converted

    tokenizer = Tokenizer.from_file(str(folder / "tokenizer.json"))
    marks = [tokenizer.token_to_id(f"<|{mark}|>") for mark in MARKS]
    listed = json.loads((folder / "config.json").read_text(encoding="utf-8")).get("lang_ids", ())
    if (
        marks[-2] not in listed
    ):  # the tokenizer of a model of one language lists them all too, the model knows none
        marks[-2:] = [None, None]
    arrays: dict[str, np.ndarray] = {}
    for name, array in read_converted(folder / "model.bin").arrays.items():
        arrays[name] = array
        if name.endswith("/weight") and array.ndim == 2 and array.dtype == np.float16:
            whole = array.astype(np.float32)
            scale = np.maximum(np.abs(whole).max(1), 1e-8) / 127
            arrays[name], arrays[f"{name}:scale"] = np.round(whole / scale[:, None]).astype(np.int8), scale
    known = np.array([-1 if mark is None else mark for mark in marks])
    np.savez_compressed(out, **arrays, marks=known, filters=_bands())


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=pathlib.Path)
    parser.add_argument("out", type=pathlib.Path)
    given = parser.parse_args()
    pack(given.folder, given.out)
