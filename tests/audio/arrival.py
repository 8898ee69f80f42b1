"""How much of a sound that was played is in a recording: found piece by piece, by correlation."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from assistant.audio.utterance import RATE

PIECE = RATE // 20
"""Samples a piece: 50 ms, shorter than any syllable."""
LOUD = 200.0
"""Root mean square below which a piece is a pause, whose loss nobody hears."""
ALIKE = 0.7
"""Correlation from which a piece counts as arrived: independent pieces of noise stay below 0.3."""

Sound = npt.NDArray[np.int16]


def babble(seconds: float, seed: int) -> Sound:
    """Return noise of the loudness of speech, seeded, no two pieces of which are alike."""
    noise = np.random.default_rng(seed).normal(0, 4000, int(seconds * RATE))
    return np.convolve(noise, np.ones(3) / 3, "same").astype(np.int16)


def share_arrived(played: Sound, recorded: Sound) -> float:
    """Return which share of the loud pieces of ``played`` (16 kHz) sounds in ``recorded``, in their order."""
    pieces = [played[at : at + PIECE].astype(np.float64) for at in range(0, len(played) - PIECE, PIECE)]
    loud = [piece for piece in pieces if np.sqrt(np.mean(piece**2)) >= LOUD]
    heard = recorded.astype(np.float64)
    found = at = 0
    for piece in loud:
        alike, where = _best_place(piece, heard[at:])
        if alike >= ALIKE:
            found, at = found + 1, at + where + PIECE // 2
    return found / len(loud) if loud else 1.0


def _best_place(piece: npt.NDArray[np.float64], within: npt.NDArray[np.float64]) -> tuple[float, int]:
    """Return the highest normalised correlation of ``piece`` in ``within`` (0 if too short), and where."""
    if len(within) < len(piece):
        return 0.0, 0
    size = 1 << (len(within) + len(piece)).bit_length()
    spectrum = np.fft.rfft(within, size) * np.conj(np.fft.rfft(piece, size))
    products = np.fft.irfft(spectrum, size)[: len(within) - len(piece) + 1]
    energy = np.concatenate([[0.0], np.cumsum(within**2)])
    norms = np.sqrt((energy[len(piece) :] - energy[: -len(piece)]) * np.sum(piece**2))
    alike = products / np.maximum(norms, 1.0)
    where = int(np.argmax(alike))
    return float(alike[where]), where
