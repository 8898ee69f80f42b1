"""Kokoro sentences in batches: durations for sentences of equal token count, sound for sentences of equal length."""

from __future__ import annotations

import torch
from onnx_torch import Graph

DURATION = "/encoder/Clip_output_0"
PROSODY = "/encoder/predictor/text_encoder/Concat_4_output_0"
TEXT = "/encoder/text_encoder/Transpose_2_output_0"
ALIGNMENT = "/encoder/Cast_4_output_0"
SOUND = "/decoder/decoder/generator/istft/stft/Slice_4_output_0"
GENERATOR = "/decoder/decoder/generator/"
SAMPLES_A_FRAME = 600  # at 24 kHz


def load(path: str, device: str) -> Graph:
    """The graph with the few operators that assume a single sentence replaced."""
    flat = lambda x: x.reshape(x.shape[0], -1)  # noqa: E731
    return Graph(
        path,
        device,
        {
            "/encoder/predictor/text_encoder/Expand_output_0": lambda x, shape: x.unsqueeze(1).expand(
                -1, int(shape[1]), -1
            ),
            "/encoder/Reshape_output_0": flat,
            "/encoder/Reshape_1_output_0": flat,
            GENERATOR + "Reshape_output_0": lambda x: x.unsqueeze(1),
            GENERATOR + "Reshape_3_output_0": lambda x: x.squeeze(1),
            # rescales the first 20 samples only, one sentence at a time: left out
            GENERATOR + "istft/stft/ScatterND_output_0": lambda x: x,
        },
    )


def durations(
    g: Graph, tokens: torch.Tensor, style: torch.Tensor, speed: torch.Tensor
) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
    """tokens [batch, n], style [batch, 256], speed [batch, 1] -> frames a token [batch, n], prosody and text encodings."""
    d, prosody, text = g.run({"tokens": tokens, "style": style, "speed": speed}, [DURATION, PROSODY, TEXT])
    return d, prosody, text


def sound(
    g: Graph, frames: torch.Tensor, prosody: torch.Tensor, text: torch.Tensor, style: torch.Tensor
) -> torch.Tensor:
    """frames [batch, n] with equal sums -> samples at 24 kHz [batch, sum * 600]."""
    end = frames.cumsum(1)
    at = torch.arange(int(end[0, -1]), device=frames.device)
    alignment = ((at >= (end - frames)[..., None]) & (at < end[..., None])).float()
    [audio] = g.run({PROSODY: prosody, TEXT: text, ALIGNMENT: alignment, "style": style}, [SOUND])
    return audio.squeeze(1)
