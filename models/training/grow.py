"""A wider network that computes what an exported one does, to be taught on: no training is lost, there is only more room.

`grown(folder, features, width, bottleneck)` reads am/final.mdl. New channels start at random and nothing old listens to them yet, so the
outputs are the old ones; `features` (a batch as the trainer draws it) sets the norms, which an exported model no longer has.
"""

from __future__ import annotations

import pathlib

import torch
import torch.nn.functional as F
from check import read
from network import BLOCKS, LEFT, RIGHT, Net
from torch import nn

T = torch.Tensor


def put(conv: nn.Conv1d, matrix: T) -> None:
    """Lay an old layer's matrix (columns by tap) into the corner of a wider one; what is old hears nothing new."""
    taps = conv.kernel_size[0]
    rows, columns = matrix.shape[0], matrix.shape[1] // taps
    with torch.no_grad():
        conv.weight[:rows] = 0
        conv.weight[:rows, :columns] = matrix.reshape(rows, taps, columns).permute(0, 2, 1)
        if conv.bias is not None:
            conv.bias.zero_()


def normed(norm: nn.BatchNorm1d, heard: T, bias: T) -> T:
    """Set a norm so that old channels come out as they go in, plus `bias`; new ones come out normed."""
    mean, variance, old = heard.mean((0, 2)), heard.var((0, 2), unbiased=False), len(bias)
    with torch.no_grad():
        norm.running_mean.copy_(mean)
        norm.running_var.copy_(variance)
        norm.weight[:old] = torch.sqrt(variance[:old] + norm.eps)
        norm.bias[:old] = mean[:old] + bias
    return norm(heard)


@torch.no_grad()
def grown(folder: pathlib.Path, features: T, width: int, bottleneck: int) -> Net:
    _, affine = read(folder / "am" / "final.mdl")
    device = features.device
    old = {
        k: (torch.tensor(w, dtype=torch.float32, device=device), torch.tensor(b, device=device))
        for k, (w, b) in affine.items()
    }
    net = Net(width, bottleneck).to(device).eval()
    x = features.transpose(1, 2)
    x = torch.cat([x[..., :1].expand(-1, -1, LEFT), x, x[..., -1:].expand(-1, -1, RIGHT + 2)], -1)
    for i, (conv, norm) in enumerate(net.front):
        put(conv, old[f"f{i}"][0])
        x = F.relu(normed(norm, conv(x), old[f"f{i}"][1]))
    for i, ((narrow, wide, norm), (a, b)) in enumerate(zip(net.blocks, BLOCKS, strict=True)):
        put(narrow, old[f"n{i}"][0])
        put(wide, old[f"w{i}"][0])
        y = F.relu(normed(norm, wide(narrow(x)), old[f"w{i}"][1]))
        lost = (-min(a) - min(min(b), 0)) // 3
        x = x[..., lost : lost + y.shape[-1]] + y
    put(net.out, old["out"][0])
    net.out.bias.copy_(old["out"][1])
    return net
