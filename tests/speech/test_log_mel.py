"""The features against those of a library that computes the same, kept in a file, and against the scale."""

from pathlib import Path

import numpy as np
import pytest

from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE
from assistant.speech.log_mel import BANDS, HOP, log_mel

ROOT = Path(__file__).resolve().parents[2]
KEPT = Path(__file__).parent / "log_mel.npz"
"""Every tenth frame of features computed by faster-whisper 1.2 (MIT) from a committed clip; see its test."""


def test_they_are_those_of_the_reference():
    """faster-whisper 1.2.1's feature extractor on the same samples, to 1e-4 (it differs by nothing)."""
    kept = np.load(KEPT)
    wave = np.zeros(int(kept["samples"]), np.float32)
    sound = read_sound(ROOT / "audio_fixtures" / "demo" / "cook_ground_beef.flac").samples
    wave[: len(sound)] = sound / 32768.0
    np.testing.assert_allclose(log_mel(wave)[:, ::10], kept["features"], atol=1e-4)


@pytest.mark.parametrize("seconds", [1, 5, 8, 15, 30])
def test_their_shape_and_range(seconds):
    """One column each 10 ms, eighty rows; after scaling the range is two."""
    noise = np.random.default_rng(3).normal(0, 0.1, seconds * RATE).astype(np.float32)
    found = log_mel(noise)
    assert found.shape == (BANDS, seconds * RATE // HOP)
    assert found.dtype == np.float32
    assert 0 < found.max() - found.min() <= 2.0 + 1e-6


@pytest.mark.parametrize(("hertz", "band"), [(400, 10), (1000, 26), (4000, 62)])
def test_a_tone_is_loudest_in_its_own_band(hertz, band):
    """Slaney's scale (Auditory Toolbox, 1998): 45.25 steps to 8 kHz; 400 Hz is step 6, 1 kHz 15, 4 kHz 35."""
    tone = 0.3 * np.sin(2 * np.pi * hertz * np.arange(RATE) / RATE)
    loudest = int(np.median(np.argmax(log_mel(tone.astype(np.float32)), axis=0)))
    assert abs(loudest - band) <= 1


def test_silence_has_no_features():
    """Nothing is divided by nothing."""
    assert np.isfinite(log_mel(np.zeros(RATE, np.float32))).all()
