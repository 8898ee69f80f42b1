"""The made room decays as asked, and sound crosses it at the speed of sound."""

from __future__ import annotations

import numpy as np
import pytest
import scipy  # its parts are loaded where they are used: every process of a test run reads this file

from audio_fixtures import rooms
from audio_fixtures.voices import RATE


@pytest.mark.parametrize("rt60_s", [0.3, 0.5, 0.8])
def test_energy_decays_by_sixty_decibels_in_the_time_asked_for(rt60_s: float) -> None:
    """Schroeder's backward integration, slope from -5 to -25 dB (method as in ISO 3382, from memory)."""
    response = rooms.impulse_response(rt60_s).astype(np.float64)
    left = np.cumsum(response[::-1] ** 2)[::-1]
    decay_db = 10 * np.log10(left / left[0] + 1e-12)
    twenty_db = (np.argmax(decay_db < -25) - np.argmax(decay_db < -5)) / RATE
    assert 3 * twenty_db == pytest.approx(rt60_s, rel=0.15)


@pytest.mark.parametrize("distance_m", [0.5, 1.5, 3.0])
def test_direct_sound_comes_first_after_distance_over_speed_of_sound(distance_m: float) -> None:
    """343 m/s: dry air at 20 degrees Celsius (handbook value, from memory)."""
    response = rooms.impulse_response(0.4, distance_m)
    assert np.argmax(response > 0.5) / RATE == pytest.approx(distance_m / 343, abs=1 / RATE)


def test_far_talker_is_more_reverberant_than_near_one() -> None:
    """The direct sound's share of the energy falls with distance."""
    near, far = (
        float(r.max() ** 2 / np.sum(r**2)) for r in (rooms.impulse_response(0.5, d) for d in (0.5, 3.0))
    )
    assert near > 2 * far


def test_respond_agrees_with_scipy_and_keeps_length_and_peak() -> None:
    """The convolution is checked against scipy.signal.fftconvolve."""
    rng = np.random.default_rng(1)
    speech = (rng.standard_normal(RATE) * np.hanning(RATE) * 0.1).astype(np.float32)
    wet = rooms.respond(speech)
    expected = scipy.signal.fftconvolve(speech, rooms.impulse_response())[: len(speech)]
    assert len(wet) == len(speech)
    assert np.abs(wet).max() == pytest.approx(np.abs(speech).max(), rel=1e-5)
    assert np.corrcoef(wet, expected)[0, 1] == pytest.approx(1, abs=1e-6)


@pytest.mark.parametrize(("rt60_s", "distance_m"), [(0.0, 1.0), (9.0, 1.0), (0.5, 0.0), (0.5, 9.0)])
def test_impossible_rooms_are_refused(rt60_s: float, distance_m: float) -> None:
    """A room without walls, or a talker outside it."""
    with pytest.raises(ValueError, match="a room needs"):
        rooms.impulse_response(rt60_s, distance_m)
