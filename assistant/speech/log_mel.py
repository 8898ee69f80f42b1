"""The features that Whisper hears: 80 loudnesses of mel bands every 10 ms, in powers of ten.

As its paper says (Radford and others, 2022, section 2.2): Hann windows of 25 ms, 80 mel bands over 0 to
8 kHz, logarithms no more than 8 below the loudest, scaled to about -1 to 1. The mel scale is Slaney's, as in
his Auditory Toolbox (1998): linear to 1 kHz, 200/3 Hz a step, then 27 steps for each factor of 6.4; bands of
equal area.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import numpy.typing as npt

from assistant.audio.utterance import RATE

Floats = npt.NDArray[np.float32]
BANDS = 80
HOP = 160
"""Samples from one frame to the next."""
_WINDOW = 400
_LINEAR_HZ, _LINEAR_TO_HZ, _FACTOR, _STEPS = 200 / 3, 1000.0, 6.4, 27
_FLOOR, _RANGE = 1e-10, 8.0


def log_mel(wave: Floats) -> Floats:
    """Return ``(80, len(wave) // 160)`` features of samples at 16 kHz, -1 to 1."""
    half = _WINDOW // 2
    padded = np.concatenate([wave[half:0:-1], wave, np.zeros(half, np.float32)])
    frames = np.lib.stride_tricks.sliding_window_view(padded, _WINDOW)[: len(wave) - HOP + 1 : HOP]
    power = np.abs(np.fft.rfft(frames * _hann(), axis=1)).astype(np.float32) ** 2
    logs = np.log10(np.maximum(_bands() @ power.T, _FLOOR))
    features: Floats = ((np.maximum(logs, logs.max() - _RANGE) + 4.0) / 4.0).astype(np.float32)
    return features


@cache
def _hann() -> Floats:
    turn = 2 * np.pi * np.arange(_WINDOW) / _WINDOW
    hann: Floats = (0.5 - 0.5 * np.cos(turn)).astype(np.float32)
    return hann


@cache
def _bands() -> Floats:
    """Return for each band the weight of each frequency: triangles between the neighbours' middles."""
    edges = _hertz(np.linspace(0.0, _mel(RATE / 2), BANDS + 2))
    low, middle, high = edges[:-2, None], edges[1:-1, None], edges[2:, None]
    hertz = np.arange(_WINDOW // 2 + 1) * RATE / _WINDOW
    rising, falling = (hertz - low) / (middle - low), (high - hertz) / (high - middle)
    return (np.maximum(0.0, np.minimum(rising, falling)) * 2.0 / (high - low)).astype(np.float32)


def _mel(hertz: float) -> float:
    return _LINEAR_TO_HZ / _LINEAR_HZ + _STEPS * float(np.log(hertz / _LINEAR_TO_HZ) / np.log(_FACTOR))


def _hertz(mels: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    beyond = mels - _LINEAR_TO_HZ / _LINEAR_HZ
    return np.where(beyond < 0, mels * _LINEAR_HZ, _LINEAR_TO_HZ * _FACTOR ** (beyond / _STEPS))
