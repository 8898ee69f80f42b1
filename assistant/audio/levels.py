"""How loud the sound is, and what to tell the speaker about it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.audio.utterance import Samples

FULL_SCALE = 32768.0
CLIPPED_SHARE = (
    0.002  # of all samples at full scale; plosives alone stay far below (common practice, no source)
)
TOO_QUIET_DBFS = -45.0  # loudest tenth of the sound; common practice, no source
_NOTHING_DBFS = -90.0
"""What is never louder than this is a cut line or a muted input: one step of 16-bit sound."""
_SILENCE_DBFS = -120.0


@dataclass(frozen=True)
class Levels:
    """Levels in dB below full scale (0 is the loudest possible) and the share of samples at full scale."""

    peak_dbfs: float
    rms_dbfs: float
    loud_dbfs: float  # level of the loudest tenth: what a speaker reaches, pauses left out
    clipped_share: float


def levels_of(samples: Samples) -> Levels:
    """Measure ``samples``; no sound at all measures as silence (-120 dB)."""
    if len(samples) == 0:
        return Levels(_SILENCE_DBFS, _SILENCE_DBFS, _SILENCE_DBFS, 0.0)
    sound = np.abs(samples.astype(np.float64))
    loud = np.partition(sound, len(sound) - 1 - len(sound) // 10)[-(len(sound) // 10) - 1 :]
    return Levels(
        _decibels(float(sound.max())),
        _decibels(float(np.sqrt((sound**2).mean()))),
        _decibels(float(np.sqrt((loud**2).mean()))),
        float((sound >= FULL_SCALE - 2).mean()),
    )


def only_silence(samples: Samples) -> bool:
    """Tell whether ``samples`` hold nothing at all, not even the noise of a room."""
    return len(samples) > 0 and levels_of(samples).peak_dbfs < _NOTHING_DBFS


def advice_for(samples: Samples, speech: bool) -> str:
    """Return what is wrong with the sound: ``no_speech``, ``clipped``, ``too_quiet`` or an empty string.

    ``speech`` tells whether anybody was found speaking.
    """
    levels = levels_of(samples)
    if levels.clipped_share > CLIPPED_SHARE:
        return "clipped"
    if not speech:
        return "no_speech"
    return "too_quiet" if levels.loud_dbfs < TOO_QUIET_DBFS else ""


def _decibels(amplitude: float) -> float:
    if amplitude <= 0:
        return _SILENCE_DBFS
    return max(_SILENCE_DBFS, 20 * float(np.log10(amplitude / FULL_SCALE)))
