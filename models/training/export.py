"""Write a trained network as a Kaldi model that the stock vosk library loads: python export.py WEIGHTS.npz MODEL_FOLDER

Writes am/final.mdl (transition model and nnet3, binary), conf/mfcc.conf and conf/model.conf. Phone 1 is blank and silence,
2 to 40 the phones; one emitting state a phone; pdf = phone - 1; transition 2p - 1 stays in phone p, 2p leaves it.
"""

from __future__ import annotations

import argparse
import pathlib
import struct
from collections.abc import Iterable

import numpy as np
from network import BLOCKS, FRONT, LEFT, OUTPUTS, RIGHT

Weights = dict[str, np.ndarray]


def int32(v: int) -> bytes:
    return b"\x04" + struct.pack("<i", v)


def float32(v: float) -> bytes:
    return b"\x04" + struct.pack("<f", v)


def token(t: str) -> bytes:
    return t.encode() + b" "


def vector(v: Iterable[float]) -> bytes:
    a = np.asarray(v, "<f4")
    return token("FV") + int32(len(a)) + a.tobytes()


def matrix(m: np.ndarray, fine: bool) -> bytes:
    """In 16 bits: whole steps from the least value to the largest, which Kaldi reads as a matrix like any other; `fine`: in 32 bits."""
    if fine:
        return token("FM") + int32(m.shape[0]) + int32(m.shape[1]) + m.astype("<f4").tobytes()
    low, span = np.float32(m.min()), np.float32(m.max()) - np.float32(m.min())
    steps = np.rint((m.astype(np.float64) - low) / span * 65535).astype("<u2")
    return token("CM2") + struct.pack("<ffii", low, span, *m.shape) + np.ascontiguousarray(steps).tobytes()


def int_vector(v: list[int]) -> bytes:
    return int32(len(v)) + np.asarray(v, "<i4").tobytes()


def transition_model(n: int) -> bytes:
    b = token("<TransitionModel>") + token("<Topology>")
    b += int_vector(list(range(1, n + 1))) + int_vector([-1] + [0] * n) + int32(1) + int32(2)
    b += int32(0) + int32(2) + int32(0) + float32(0.5) + int32(1) + float32(0.5)  # stay, leave
    b += int32(-1) + int32(0) + token("</Topology>")
    b += token("<Triples>") + int32(n) + b"".join(int32(p) + int32(0) + int32(p - 1) for p in range(1, n + 1))
    b += token("</Triples>") + token("<LogProbs>") + vector([0.0] + [float(np.log(0.5))] * (2 * n))
    return b + token("</LogProbs>") + token("</TransitionModel>")


class Config:
    """nnet3's node lines and components, collected in order."""

    def __init__(self) -> None:
        self.lines, self.components = ["input-node name=input dim=40"], []

    def add(self, name: str, kind: str, body: bytes, source: str) -> str:
        self.components.append(
            token("<ComponentName>") + token(name) + token(f"<{kind}>") + body + token(f"</{kind}>")
        )
        self.lines.append(f"component-node name={name} component={name} input={source}")
        return name

    def affine(self, name: str, w: Weights, source: str, taps: tuple[int, ...] = (0,)) -> str:
        """The front has small and large weights side by side, too far apart for steps of one size; it is small."""
        weights = matrix(w["W_" + name], fine=name.startswith("f"))
        body = token("<LinearParams>") + weights + token("<BiasParams>") + vector(w["b_" + name])
        spliced = ", ".join(source if t == 0 else f"Offset({source}, {t})" for t in taps)
        return self.add(name, "FixedAffineComponent", body, f"Append({spliced})" if len(taps) > 1 else source)

    def activation(self, name: str, kind: str, dim: int, source: str) -> str:
        empty = token("<ValueAvg>") + vector([]) + token("<DerivAvg>") + vector([])
        return self.add(
            name,
            kind,
            token("<Dim>") + int32(dim) + empty + token("<Count>") + b"\x08" + struct.pack("<d", 0.0),
            source,
        )


def nnet(w: Weights) -> bytes:
    c, x = Config(), "input"
    for i, taps in enumerate(FRONT):
        width = len(w[f"W_f{i}"])
        x = c.activation(f"rf{i}", "RectifiedLinearComponent", width, c.affine(f"f{i}", w, x, taps))
    for i, (a, b) in enumerate(BLOCKS):
        wide = c.affine(f"w{i}", w, c.affine(f"n{i}", w, x, a), b)
        y = c.activation(f"rw{i}", "RectifiedLinearComponent", width, wide)
        keep = token("<Dim>") + int32(width) + token("<BackpropScale>") + float32(1.0)
        x = c.add(f"s{i}", "NoOpComponent", keep, f"Sum({x}, {y})")
    c.activation("log_softmax", "LogSoftmaxComponent", OUTPUTS, c.affine("out", w, x))
    c.lines.append("output-node name=output input=log_softmax objective=linear")
    head = (
        token("<Nnet3>")
        + b"\n"
        + "\n".join(c.lines).encode()
        + b"\n\n"
        + token("<NumComponents>")
        + int32(len(c.components))
    )
    return (
        head
        + b"".join(c.components)
        + token("</Nnet3>")
        + token("<LeftContext>")
        + int32(LEFT)
        + token("<RightContext>")
        + int32(RIGHT)
    )


MFCC = """--use-energy=false
--num-mel-bins=40
--num-ceps=40
--low-freq=20
--high-freq=7600
--dither=0
"""
DECODER = """--min-active=200
--max-active={active}
--beam={beam}
--lattice-beam={lattice_beam}
--acoustic-scale={scale}
--frame-subsampling-factor=3
--phone-determinize=false
--endpoint.silence-phones=1
--endpoint.rule2.min-trailing-silence={end}
--endpoint.rule3.min-trailing-silence={end}
--endpoint.rule4.min-trailing-silence={end}
"""


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("weights")
    p.add_argument("folder", type=pathlib.Path)
    p.add_argument(
        "--prior-scale", type=float, default=0.0, help="share of the outputs' prior that is taken off"
    )
    p.add_argument("--scale", type=float, default=1.0, help="acoustic scale")
    p.add_argument("--beam", type=float, default=12.0)
    p.add_argument("--lattice-beam", type=float, default=5.0)
    p.add_argument("--active", type=int, default=3000)
    p.add_argument("--end", type=float, default=0.7, help="seconds of silence that end an utterance")
    a = p.parse_args()
    w = {k: v.astype(np.float32) for k, v in np.load(a.weights).items()}
    for name in ("am", "conf"):
        (a.folder / name).mkdir(parents=True, exist_ok=True)
    prior = np.asarray(w["prior"], np.float64) ** a.prior_scale
    priors = token("<Priors>") + vector(prior / prior.sum() if a.prior_scale else [])
    (a.folder / "am" / "final.mdl").write_bytes(b"\0B" + transition_model(OUTPUTS) + nnet(w) + priors)
    (a.folder / "conf" / "mfcc.conf").write_text(MFCC, encoding="utf-8")
    (a.folder / "conf" / "model.conf").write_text(DECODER.format(**vars(a)), encoding="utf-8")


if __name__ == "__main__":
    main()
