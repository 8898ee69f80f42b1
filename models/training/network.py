"""The acoustic network: a time-delay net with bottlenecks that Kaldi's nnet3 runs frame by frame, and its MFCC input.

Layers are written with their taps in 10 ms frames, so that torch, the exporter and the numpy check read one list.
Look-ahead: 19 frames (190 ms). Output k belongs to input frame 3k; outputs are log-probabilities of blank + 39 phones.
"""

from __future__ import annotations

import numpy as np
import torch
import torch.nn.functional as F
from torch import nn

OUTPUTS = 40
CEPSTRA = 40
FRONT = [(-2, -1, 0, 1, 2), (-1, 0, 1), (-1, 0, 1)]  # taps; every third frame after these
FRONT_WIDTH, WIDTH, BOTTLENECK = 256, 512, 128  # of the first version; wider ones tell by their weights
_BOTH, _LEFT, _FAR = (
    ((-3, 0), (0, 3)),
    ((-3, 0), (-3, 0)),
    ((-6, 0), (-3, 0)),
)  # taps into and out of the bottleneck
BLOCKS = [_BOTH, _LEFT, _BOTH, _LEFT, _BOTH, _FAR, _LEFT, _BOTH, _FAR, _LEFT, _BOTH, _FAR, _LEFT, _LEFT]
LEFT = 4 + sum(-min(a) - min(min(b), 0) for a, b in BLOCKS)
RIGHT = 4 + sum(max(b) for _, b in BLOCKS)


def mfcc_tables() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Window [400], mel filters [257, 40] and cosine transform [40, 40] of Kaldi's MFCC at 16 kHz (20 to 7600 Hz)."""
    window = (0.5 - 0.5 * np.cos(2 * np.pi * np.arange(400) / 399)) ** 0.85
    mel = lambda f: 1127 * np.log(1 + f / 700)  # noqa: E731
    edges = np.linspace(mel(20.0), mel(7600.0), 42)
    at = mel(np.arange(257) * 16000 / 512)
    filters = np.stack(
        [
            np.maximum(0, np.minimum((at - lo) / (c - lo), (hi - at) / (hi - c)))
            for lo, c, hi in zip(edges, edges[1:], edges[2:], strict=False)
        ],
        1,
    )
    filters[-1] = 0
    k = np.arange(40)
    cosine = np.sqrt(2 / 40) * np.cos(np.pi / 40 * np.outer(k, k + 0.5))
    cosine[0] = np.sqrt(1 / 40)
    return window, filters, (cosine * (1 + 11 * np.sin(np.pi * k / 22))[:, None]).T


class Mfcc(nn.Module):
    """[batch, samples] in the int16 range -> [batch, frames, 40]."""

    def __init__(self) -> None:
        super().__init__()
        for name, table in zip(("window", "filters", "cosine"), mfcc_tables(), strict=True):
            self.register_buffer(name, torch.tensor(table, dtype=torch.float32))

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        f = x.unfold(1, 400, 160)
        f = f - f.mean(-1, keepdim=True)
        f = torch.cat([f[..., :1] * 0.03, f[..., 1:] - 0.97 * f[..., :-1]], -1) * self.window
        power = torch.fft.rfft(f, 512).abs() ** 2
        return torch.log((power @ self.filters).clamp(min=1.1920929e-07)) @ self.cosine


def _conv(inputs: int, outputs: int, taps: tuple[int, ...], bias: bool = True) -> nn.Conv1d:
    step = taps[1] - taps[0]
    return nn.Conv1d(inputs, outputs, len(taps), dilation=step // 3 if step % 3 == 0 else step, bias=bias)


class Net(nn.Module):
    """[batch, frames, 40] MFCC -> [batch, ceil(frames / 3), OUTPUTS] log-probabilities; edge frames are repeated."""

    def __init__(self, last: int = WIDTH, bottleneck: int = BOTTLENECK, drop: float = 0.05) -> None:
        """`last`: channels after the front and of every block; `bottleneck`: those within a block."""
        super().__init__()
        self.register_buffer("mean", torch.zeros(CEPSTRA))
        self.register_buffer("std", torch.ones(CEPSTRA))
        self.drop, width, front = drop, CEPSTRA, []
        for taps, out in zip(FRONT, (FRONT_WIDTH, FRONT_WIDTH, last), strict=True):
            front.append(nn.ModuleList([_conv(width, out, taps), nn.BatchNorm1d(out)]))
            width = out
        front[-1][0].stride = (3,)
        self.front = nn.ModuleList(front)
        self.blocks = nn.ModuleList(
            nn.ModuleList(
                [_conv(width, bottleneck, a, bias=False), _conv(bottleneck, width, b), nn.BatchNorm1d(width)]
            )
            for a, b in BLOCKS
        )
        self.out = nn.Conv1d(width, OUTPUTS, 1)

    def forward(self, f: torch.Tensor) -> torch.Tensor:
        n = -(-f.shape[1] // 3)
        x = ((f - self.mean) / self.std).transpose(1, 2)
        x = torch.cat([x[..., :1].expand(-1, -1, LEFT), x, x[..., -1:].expand(-1, -1, RIGHT + 2)], -1)
        for conv, norm in self.front:
            x = F.relu(norm(conv(x)))
        for (narrow, wide, norm), (a, b) in zip(self.blocks, BLOCKS, strict=True):
            y = F.dropout(F.relu(norm(wide(narrow(x)))), self.drop, self.training)
            lost = (-min(a) - min(min(b), 0)) // 3
            x = x[..., lost : lost + y.shape[-1]] + y
        return F.log_softmax(self.out(x)[..., :n].transpose(1, 2).float(), -1)

    def folded(self) -> dict[str, np.ndarray]:
        """Plain affine layers in nnet3's order (columns by tap), batch norm and input norm folded in."""
        out: dict[str, torch.Tensor] = {}

        def affine(name: str, weight: torch.Tensor, bias: torch.Tensor) -> None:
            out["W_" + name], out["b_" + name] = weight.permute(0, 2, 1).reshape(weight.shape[0], -1), bias

        def normed(conv: nn.Conv1d, norm: nn.BatchNorm1d) -> tuple[torch.Tensor, torch.Tensor]:
            g = norm.weight / torch.sqrt(norm.running_var + norm.eps)
            return conv.weight * g[:, None, None], (conv.bias - norm.running_mean) * g + norm.bias

        for i, (conv, norm) in enumerate(self.front):
            weight, bias = normed(conv, norm)
            if i == 0:
                weight = weight / self.std[None, :, None]
                bias = bias - (weight * self.mean[None, :, None]).sum((1, 2))
            affine(f"f{i}", weight, bias)
        for i, (narrow, wide, norm) in enumerate(self.blocks):
            affine(f"n{i}", narrow.weight, torch.zeros(narrow.out_channels, device=narrow.weight.device))
            affine(f"w{i}", *normed(wide, norm))
        affine("out", self.out.weight, self.out.bias)
        return {k: v.detach().float().cpu().numpy() for k, v in out.items()}

    @classmethod
    def unfolded(cls, w: dict[str, np.ndarray]) -> Net:
        """The network of `folded` weights again, without its norms: for checking the exported file."""
        net = cls(len(w["W_f2"]), len(w["W_n0"])).eval()
        convs = {f"f{i}": pair[0] for i, pair in enumerate(net.front)}
        for i, (narrow, wide, _) in enumerate(net.blocks):
            convs |= {f"n{i}": narrow, f"w{i}": wide}
            net.blocks[i][2] = nn.Identity()
        for pair in net.front:
            pair[1] = nn.Identity()
        for name, conv in {**convs, "out": net.out}.items():
            shape = conv.weight.shape
            weight = torch.tensor(w["W_" + name].astype(np.float32)).reshape(shape[0], shape[2], shape[1])
            conv.weight.data.copy_(weight.permute(0, 2, 1))
            if conv.bias is not None:
                conv.bias.data.copy_(torch.tensor(w["b_" + name]))
        return net
