"""The short signals that say "I heard you" and "I stopped": made here, two gliding tones each."""

from __future__ import annotations

from typing import Literal

import numpy as np

from assistant.audio.utterance import Samples

Earcon = Literal["heard", "stopped", "problem"]

_TONES: dict[Earcon, tuple[tuple[float, float], ...]] = {  # (from, to) in hertz, each _TONE_S long
    "heard": ((620.0, 700.0), (880.0, 990.0)),
    "stopped": ((880.0, 800.0), (560.0, 500.0)),
    "problem": ((440.0, 420.0), (440.0, 420.0), (330.0, 310.0)),
}
_TONE_S, _GAP_S, _EDGE_S = 0.07, 0.02, 0.012
_LEVEL = 0.35


def earcon(kind: Earcon, rate: int, volume: float = 1.0) -> Samples:
    """Return a signal of about 0.15 s as mono samples, ``rate`` a second; ``volume`` is 0 to 1."""
    gap = np.zeros(int(_GAP_S * rate))
    parts = [part for start, end in _TONES[kind] for part in (_glide(start, end, rate), gap)][:-1]
    wave = np.concatenate(parts) * _LEVEL * min(1.0, max(0.0, volume))
    return np.round(wave * 32767).astype(np.int16)


def _glide(start_hz: float, end_hz: float, rate: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    time = np.arange(int(_TONE_S * rate)) / rate
    phase = 2 * np.pi * (start_hz * time + (end_hz - start_hz) * time**2 / (2 * _TONE_S))
    edge = np.minimum(1.0, np.minimum(time, time[::-1]) / _EDGE_S)
    return np.sin(phase) * edge
