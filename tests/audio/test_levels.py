"""Loudness becomes advice: too quiet, clipped, or nobody spoke."""

import numpy as np
import pytest

from assistant.audio.levels import advice_for, levels_of


def sine(amplitude: float) -> np.ndarray:
    """Return a second of a tone of this many units of 16-bit sound, cut off at full scale."""
    wave = amplitude * np.sin(2 * np.pi * 300 * np.arange(16000) / 16000)
    return np.clip(np.round(wave), -32768, 32767).astype(np.int16)


@pytest.mark.parametrize(("amplitude", "dbfs"), [(32767, 0.0), (16384, -6.02), (3277, -20.0), (33, -59.9)])
def test_peak_is_measured_in_decibels_below_full_scale(amplitude, dbfs):
    """Half of full scale is -6.02 dB: the definition, 20 log10 of the ratio."""
    assert levels_of(sine(amplitude)).peak_dbfs == pytest.approx(dbfs, abs=0.1)


def test_a_sine_has_an_rms_three_decibels_below_its_peak():
    """A textbook figure: the crest factor of a sine is the square root of two, 3.01 dB."""
    levels = levels_of(sine(10000))
    assert levels.peak_dbfs - levels.rms_dbfs == pytest.approx(3.01, abs=0.02)


@pytest.mark.parametrize(
    ("samples", "speech", "advice"),
    [
        (sine(8000), True, ""),
        (sine(60), True, "too_quiet"),
        (sine(90000), True, "clipped"),
        (sine(90000), False, "clipped"),
        (sine(8000), False, "no_speech"),
        (np.zeros(16000, np.int16), False, "no_speech"),
        (np.zeros(0, np.int16), False, "no_speech"),
    ],
)
def test_advice(samples, speech, advice):
    """Clipping is named first, then silence, then a low level."""
    assert advice_for(samples, speech) == advice
