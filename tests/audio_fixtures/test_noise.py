"""Noise is as loud as asked, the same for the same seed, and refuses what makes no sense."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from audio_fixtures import noise
from audio_fixtures.voices import RATE, Samples


def speech(seconds: float = 1.0) -> Samples:
    """A tone between two silences: half the time active, power known."""
    tone = 0.2 * np.sin(2 * np.pi * 440 * np.arange(int(seconds * RATE)) / RATE)
    return np.pad(tone, len(tone) // 2).astype(np.float32)


TALKERS = [speech(0.5), speech(0.9)]
KINDS = [*noise.KINDS, "babble"]


@settings(deadline=None, max_examples=40)
@given(kind=st.sampled_from(KINDS), snr_db=st.floats(-5, 30), seed=st.integers(0, 2**32))
def test_measured_ratio_is_the_one_asked_for(kind: str, snr_db: float, seed: int) -> None:
    """Taking the speech away again leaves noise that lies snr_db below the tone."""
    clean = 0.1 * speech()
    mixed = noise.mix(clean, noise.make(kind, 2, seed, TALKERS), snr_db)
    if np.abs(mixed).max() > 0.98:  # turned down as a whole; the ratio is the same, the tone is not
        return
    rest = mixed - clean
    tone_power = 0.02**2 / 2
    assert 10 * np.log10(tone_power / noise.power(rest)) == pytest.approx(snr_db, abs=0.2)


@pytest.mark.parametrize("kind", KINDS)
def test_same_seed_same_noise_other_seed_other_noise(kind: str) -> None:
    """Figures can be made again."""
    first = noise.make(kind, 0.5, 7, TALKERS)
    assert np.array_equal(first, noise.make(kind, 0.5, 7, TALKERS))
    assert not np.array_equal(first, noise.make(kind, 0.5, 8, TALKERS))
    assert len(first) == RATE // 2
    assert noise.power(first) == pytest.approx(1, rel=1e-3)


def test_loud_noise_is_turned_down_instead_of_clipped() -> None:
    """At -20 dB the sum would be far above full scale."""
    mixed = noise.mix(speech(), noise.make("hood", 2, 1), -20)
    assert np.abs(mixed).max() <= 0.99 + 1e-6


def test_active_power_ignores_silence() -> None:
    """Twice the silence, same power of speech."""
    tone = speech()
    assert noise.active_power(np.pad(tone, RATE)) == pytest.approx(noise.active_power(tone), rel=0.02)


def test_refusals() -> None:
    """Unknown kinds, babble without talkers, noise too short or silent."""
    with pytest.raises(ValueError, match="no noise called rain"):
        noise.make("rain", 1, 1)
    with pytest.raises(ValueError, match="babble needs clips"):
        noise.make("babble", 1, 1)
    for bad in (np.ones(10, np.float32), np.zeros(4 * RATE, np.float32)):
        with pytest.raises(ValueError, match="at least as long"):
            noise.mix(speech(), bad, 10)
