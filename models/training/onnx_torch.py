"""Run an 8-bit ONNX speech synthesiser in torch, many sentences at once, on whatever device there is.

The registry's Kokoro file is quantised dynamically and made for one sentence at a time on a CPU. Here its integer
products become plain float ones (weights times their scale, activations unquantised), so that a GPU can take batches.
Only the operators that this graph uses are known; anything else raises KeyError with the operator's name.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any

import numpy as np
import onnx
import torch
import torch.nn.functional as F
from onnx import numpy_helper

Value = Any


class Graph:
    """A loaded graph: `run({name: tensor}, [names])` computes only what the asked names need."""

    def __init__(
        self, path: str, device: str = "cpu", replace: dict[str, Callable[..., Value]] | None = None
    ) -> None:
        model = onnx.load(path)
        self.device = torch.device(device)
        self.replace = replace or {}
        self.const: dict[str, torch.Tensor] = {}
        raw = {t.name: numpy_helper.to_array(t) for t in model.graph.initializer}
        for name, array in raw.items():
            tensor = torch.from_numpy(np.array(array))
            self.const[name] = (
                tensor if tensor.dtype in (torch.int64, torch.int32) else tensor.to(self.device)
            )
        self.nodes = list(model.graph.node)
        self.maker = {out: k for k, node in enumerate(self.nodes) for out in node.output}
        self.attr = [
            {a.name: onnx.helper.get_attribute_value(a) for a in node.attribute} for node in self.nodes
        ]
        self.weights: dict[int, Any] = {}
        self.order: dict[tuple[str, ...], list[tuple[int, list[str]]]] = {}
        self._fold()

    def _fold(self) -> None:
        """Turn product -> (bias) -> cast -> scale into one float operator each, so that big tensors are walked once."""
        users: dict[str, list[int]] = {}
        for k, node in enumerate(self.nodes):
            for name in node.input:
                users.setdefault(name, []).append(k)
        for k, node in enumerate(self.nodes):
            if node.op_type not in ("MatMulInteger", "ConvInteger"):
                continue
            at, bias = k, None
            chain: list[Any] = []
            while True:
                [at] = users[self.nodes[at].output[0]]
                step = self.nodes[at]
                chain.append(step)
                if step.op_type == "Mul":
                    break
            scale_name = next(n for n in chain[-1].input if n not in [c.output[0] for c in chain])
            scale = self.const[self.nodes[self.maker[scale_name]].input[1]]
            if chain[0].op_type == "Add":
                reshape = self.nodes[self.maker[chain[0].input[1]]]
                name = reshape.input[0].replace(".bias_quantized", ".bias").replace("_quantized", "")
                bias = self.const[name]
            weight = self.const[node.input[1]].float() - self.const[node.input[3]].float()
            self.weights[at] = (
                node.op_type,
                weight * scale,
                bias,
                self.nodes[self.maker[node.input[0]]].input[0],
                self.attr[k],
            )

    def plan(self, wanted: Iterable[str], given: Iterable[str]) -> list[tuple[int, list[str]]]:
        """Nodes to compute, in order, each with the names that are no longer needed after it."""
        have, todo, seen = set(given) | set(self.const), [], set()

        def visit(name: str) -> None:
            if not name or name in have or self.maker[name] in seen:
                return
            k = self.maker[name]
            seen.add(k)
            for source in self.inputs(k):
                visit(source)
            todo.append(k)

        for name in wanted:
            visit(name)
        last: dict[str, int] = {}
        for k in todo:
            last.update(dict.fromkeys(self.inputs(k), k))
        keep = set(wanted)
        return [
            (k, [n for n in dict.fromkeys(self.inputs(k)) if last[n] == k and n not in keep]) for k in todo
        ]

    def inputs(self, k: int) -> list[str]:
        if k in self.weights:
            return [self.weights[k][3]]
        own = self.replace.get(self.nodes[k].output[0])
        return list(self.nodes[k].input[: own.__code__.co_argcount if own else None])

    @torch.no_grad()
    def run(self, given: dict[str, torch.Tensor], wanted: list[str]) -> list[torch.Tensor]:
        key = (*sorted(given), "->", *wanted)
        if key not in self.order:
            self.order[key] = self.plan(wanted, given)
        values: dict[str, Value] = dict(given)
        for k, done in self.order[key]:
            node = self.nodes[k]
            args = [values[n] if n in values else self.const.get(n) for n in self.inputs(k)]
            if k in self.weights:
                out = self._product(*self.weights[k][:3], args[0], self.weights[k][4])
            elif node.output[0] in self.replace:
                out = self.replace[node.output[0]](*args)
            else:
                out = OPS[node.op_type](self, k, self.attr[k], *args)
            outs = out if isinstance(out, tuple) else (out,)
            values.update(zip(node.output, outs, strict=False))
            for name in done:
                values.pop(name, None)
        return [values[n] for n in wanted]

    def _product(
        self, kind: str, weight: torch.Tensor, bias: torch.Tensor | None, x: torch.Tensor, a: dict[str, Any]
    ) -> Value:
        if kind == "MatMulInteger":
            return x @ weight
        return F.conv1d(x, weight, bias, a["strides"][0], a["pads"][0], a["dilations"][0], a["group"])

    def lstm(self, k: int, x: torch.Tensor, *rest: Value) -> torch.Tensor:
        if k not in self.weights_lstm:
            w, r, b, _, _, _, _, w_scale, w_zero, r_scale, r_zero = rest
            flat = []
            for d in range(2):
                wd = (w[d].float() - w_zero[d].float()) * w_scale[d]
                rd = (r[d].float() - r_zero[d].float()) * r_scale[d]
                order = lambda m: torch.cat([m.chunk(4, 0)[i] for i in (0, 2, 3, 1)])  # noqa: E731  iofc -> ifgo
                flat += [order(wd.T), order(rd.T), order(b[d][:1024]), order(b[d][1024:])]
            module = torch.nn.LSTM(flat[0].shape[1], 256, bidirectional=True).to(self.device)
            for parameter, value in zip(module.parameters(), flat, strict=True):
                parameter.data.copy_(value)
            module.flatten_parameters()
            self.weights_lstm[k] = module
        y, _ = self.weights_lstm[k](x)
        return y.reshape(*x.shape[:2], 2, 256).permute(0, 2, 1, 3)

    weights_lstm: dict[int, torch.nn.LSTM] = {}


def _slice(
    g: Graph,
    k: int,
    a: dict[str, Any],
    x: Value,
    starts: Value,
    ends: Value,
    axes: Value = None,
    steps: Value = None,
) -> Value:
    axes = range(len(starts)) if axes is None else axes.tolist()
    index: list[Any] = [slice(None)] * x.dim()
    for i, axis in enumerate(axes):
        index[axis] = slice(int(starts[i]), min(int(ends[i]), 1 << 40), 1)
    return x[tuple(index)]


def _gather(g: Graph, k: int, a: dict[str, Any], x: torch.Tensor, index: torch.Tensor) -> torch.Tensor:
    axis = a.get("axis", 0)
    if index.dim() == 0:
        return x.select(axis, int(index) % x.shape[axis] if x.shape[axis] else int(index))
    flat = x.index_select(axis, index.to(x.device).reshape(-1))
    return flat.reshape(*x.shape[:axis], *index.shape, *x.shape[axis + 1 :])


def _resize(
    g: Graph, k: int, a: dict[str, Any], x: torch.Tensor, roi: Value, scales: torch.Tensor
) -> torch.Tensor:
    scale = float(scales[-1])
    if a["mode"] == b"nearest":
        return x.repeat_interleave(round(scale), -1)
    size = math.floor(x.shape[-1] * scale + 1e-3)
    return F.interpolate(x, size=size, mode="linear", align_corners=False)


def _stft(
    g: Graph,
    k: int,
    a: dict[str, Any],
    x: torch.Tensor,
    step: torch.Tensor,
    window: torch.Tensor,
    n: torch.Tensor,
) -> torch.Tensor:
    frames = x.unfold(-1, int(n), int(step)) * window
    return torch.view_as_real(torch.fft.rfft(frames))


def _reshape(g: Graph, k: int, a: dict[str, Any], x: torch.Tensor, shape: torch.Tensor) -> torch.Tensor:
    return x.reshape([x.shape[i] if s == 0 else s for i, s in enumerate(shape.tolist())])


def _reduce(fn: Callable[..., torch.Tensor]) -> Callable[..., torch.Tensor]:
    return lambda g, k, a, x, axes: fn(x, axes.tolist(), keepdim=bool(a.get("keepdims", 1)))


def _where(g: Graph, k: int, a: dict[str, Any], c: Value, x: Value, y: Value) -> Value:
    device = max((t.device for t in (c, x, y)), key=lambda d: d.type == "cuda")
    return torch.where(c.to(device).bool(), x.to(device), y.to(device))


def _cast(g: Graph, k: int, a: dict[str, Any], x: torch.Tensor) -> torch.Tensor:
    kind = {1: torch.float32, 7: torch.int64, 9: torch.bool}
    return (
        x if a["to"] not in kind else x.to(kind[a["to"]])
    )  # int32: only quantised biases, which stay float here


def _unsqueeze(g: Graph, k: int, a: dict[str, Any], x: torch.Tensor, axes: torch.Tensor) -> torch.Tensor:
    for axis in sorted(axes.reshape(-1).tolist()):
        x = x.unsqueeze(axis)
    return x


def _layer_norm(g: Graph, k: int, a: dict[str, Any], x: Value, w: Value, b: Value) -> Value:
    return F.layer_norm(x, x.shape[-1:], w, b, a["epsilon"])


def _pad(g: Graph, k: int, a: dict[str, Any], x: torch.Tensor, pads: torch.Tensor) -> torch.Tensor:
    p = pads.tolist()
    return F.pad(x, (p[2], p[5]), mode="reflect")


def _plain(fn: Callable[..., Value]) -> Callable[..., Value]:
    return lambda g, k, a, *args: fn(*args)


def _both(fn: Callable[..., Value]) -> Callable[..., Value]:
    def op(g: Graph, k: int, a: dict[str, Any], x: torch.Tensor, y: torch.Tensor) -> torch.Tensor:
        if x.device != y.device:
            x, y = (t.to(g.device) if t.dim() else t for t in (x, y))
        return fn(x, y)

    return op


OPS: dict[str, Callable[..., Value]] = {
    "Shape": lambda g, k, a, x: torch.tensor(x.shape)[a.get("start", 0) :],
    "Gather": _gather,
    "Split": lambda g, k, a, x, s: tuple(x.split(s.tolist(), a["axis"])),
    "DequantizeLinear": lambda g, k, a, x, s, z: (x.float() - z.float()) * s,
    "Unsqueeze": _unsqueeze,
    "Transpose": lambda g, k, a, x: x.permute(a["perm"]),
    "Mul": _both(torch.mul),
    "Add": _both(torch.add),
    "Sub": _both(torch.sub),
    "Div": _both(lambda x, y: x // y if x.dtype == torch.int64 else x / y),
    "Pow": _both(torch.pow),
    "Equal": _both(torch.eq),
    "Greater": _both(torch.gt),
    "Less": _both(torch.lt),
    "MatMul": _both(torch.matmul),
    "FusedMatMul": lambda g, k, a, x, y: x.transpose(-1, -2) @ y,
    "Concat": lambda g, k, a, *xs: torch.cat(xs, a["axis"]),
    "Slice": _slice,
    "Cast": _cast,
    "ConstantOfShape": lambda g, k, a, s: torch.full(
        s.tolist(), 0 if "value" not in a else numpy_helper.to_array(a["value"]).item()
    ),
    "Where": _where,
    "Expand": lambda g, k, a, x, s: x.expand(torch.broadcast_shapes(x.shape, s.tolist())),
    "Floor": _plain(torch.floor),
    "Reshape": _reshape,
    "LayerNormalization": _layer_norm,
    "SkipLayerNormalization": lambda g, k, a, x, y, w, b: _layer_norm(g, k, a, x + y, w, b),
    "LeakyRelu": lambda g, k, a, x: F.leaky_relu(x, a["alpha"]),
    "Sqrt": _plain(torch.sqrt),
    "Softmax": lambda g, k, a, x: x.softmax(a["axis"]),
    "DynamicQuantizeLSTM": lambda g, k, a, *args: g.lstm(k, *args),
    "FastGelu": lambda g, k, a, x, b: F.gelu(x + b, approximate="tanh"),
    "Sigmoid": _plain(torch.sigmoid),
    "ReduceSum": _reduce(torch.sum),
    "ReduceMean": _reduce(torch.mean),
    "Round": _plain(torch.round),
    "Clip": lambda g, k, a, x, low, high=None: x.clamp(min=float(low)),
    "CumSum": lambda g, k, a, x, axis: x.cumsum(int(axis)),
    "Resize": _resize,
    "ConvTranspose": lambda g, k, a, x, w, b=None: F.conv_transpose1d(
        x, w, b, a["strides"][0], a["pads"][0], a.get("output_padding", [0])[0], a["group"], a["dilations"][0]
    ),
    "Conv": lambda g, k, a, x, w, b: F.conv1d(
        x, w, b, a["strides"][0], a["pads"][0], a["dilations"][0], a["group"]
    ),
    "Squeeze": lambda g, k, a, x, axes: x.squeeze(axes.tolist()),
    "Sin": _plain(torch.sin),
    "Cos": _plain(torch.cos),
    "Tanh": _plain(torch.tanh),
    "Exp": _plain(torch.exp),
    "Atan": lambda g, k, a, x: torch.where(x.isnan(), 0.0, x).atan(),  # 0 / 0: silence has no phase
    "Pad": _pad,
    "STFT": _stft,
}
