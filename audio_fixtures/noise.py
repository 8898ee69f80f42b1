"""Kitchen noise, made by program and mixed at a given ratio; the same seed gives the same samples.

No recording is used, and no mixed clip is committed. The spectra and rhythms are our own simplification
of what a kitchen sounds like (common practice, no source): they order the conditions from easy to hard,
they do not stand for a measured kitchen.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from audio_fixtures.voices import RATE, Samples

FRAME = RATE // 50
"""20 ms: the frame in which speech counts as active or not."""

ACTIVE_DB = 30.0
"""A frame is active speech when its power lies within this many decibels of the loudest frame's."""

MUSIC_KEYS = (0, 3, 5, 7, 10)


def power(samples: Samples) -> float:
    """Mean square of ``samples``."""
    return float(np.mean(np.square(samples, dtype=np.float64)))


def active_power(speech: Samples) -> float:
    """Mean square over the 20 ms frames in which somebody speaks (silence would flatter the ratio)."""
    frames = speech[: len(speech) // FRAME * FRAME].reshape(-1, FRAME).astype(np.float64)
    powers = np.mean(frames**2, axis=1)
    return float(np.mean(powers[powers > powers.max() * 10 ** (-ACTIVE_DB / 10)]))


def mix(speech: Samples, noise: Samples, snr_db: float) -> Samples:
    """Add ``noise`` (at least as long) to ``speech`` so that active speech is ``snr_db`` above it.

    The sum is turned down as a whole if it would clip. Raises ValueError when the noise is too short or
    silent.
    """
    noise = noise[: len(speech)]
    if len(noise) < len(speech) or not noise.any():
        raise ValueError("the noise must be at least as long as the speech, and not silent")
    gain = np.sqrt(active_power(speech) / power(noise) / 10 ** (snr_db / 10))
    mixed = speech + gain * noise
    return np.asarray(mixed / max(1.0, float(np.abs(mixed).max()) / 0.99), dtype=np.float32)


def make(kind: str, seconds: float, seed: int, talkers: Sequence[Samples] = ()) -> Samples:
    """Return ``seconds`` of noise of ``kind`` (a key of ``KINDS``, or ``babble``) with unit power.

    ``babble`` is made from ``talkers``, other clips of speech. Raises ValueError for an unknown kind or
    babble without talkers.
    """
    rng = np.random.default_rng([seed, *kind.encode()])
    length = round(seconds * RATE)
    if kind == "babble":
        noise = _babble(rng, length, talkers)
    elif kind in KINDS:
        noise = KINDS[kind](rng, length)
    else:
        raise ValueError(f"no noise called {kind}; there are {', '.join((*KINDS, 'babble'))}")
    return np.asarray(noise / np.sqrt(np.mean(noise**2)), dtype=np.float32)


Wave = npt.NDArray[np.float64]


def _shaped(rng: np.random.Generator, length: int, slope: float, low_hz: float, high_hz: float) -> Wave:
    """Gaussian noise whose amplitude falls as frequency ** -slope between two corner frequencies."""
    spectrum = np.fft.rfft(rng.standard_normal(length))
    hertz = np.maximum(np.fft.rfftfreq(length, 1 / RATE), 1.0)
    weight = (hertz / 1000) ** -slope / (1 + (low_hz / hertz) ** 4) / (1 + (hertz / high_hz) ** 4)
    noise = np.fft.irfft(spectrum * weight, length)
    return np.asarray(noise / np.sqrt(np.mean(noise**2)))


def _seconds(length: int) -> Wave:
    return np.arange(length, dtype=np.float64) / RATE


def _hood(rng: np.random.Generator, length: int) -> Wave:
    """Exhaust hood: steady low rush of air, mains hum and a slow flutter of the fan."""
    t = _seconds(length)
    hum = sum(np.sin(2 * np.pi * 60 * k * t + rng.uniform(0, 6)) / k for k in (1, 2, 3, 4))
    flutter = 1 + 0.15 * np.sin(2 * np.pi * rng.uniform(0.3, 0.9) * t)
    return np.asarray(_shaped(rng, length, 0.8, 40, 4000) * flutter + 0.3 * hum)


def _dish_machine(rng: np.random.Generator, length: int) -> Wave:
    """Dish machine: hissing spray that swings with the arm, and the pump's whine."""
    t = _seconds(length)
    swing = 0.6 + 0.4 * np.sin(2 * np.pi * rng.uniform(0.5, 1.2) * t + rng.uniform(0, 6))
    pump = sum(np.sin(2 * np.pi * 118 * k * t + rng.uniform(0, 6)) / k**0.7 for k in range(1, 9))
    return np.asarray(_shaped(rng, length, 0.3, 300, 6500) * swing + 0.25 * pump)


def _clatter(rng: np.random.Generator, length: int) -> Wave:
    """Pans and plates: ringing strokes, several a second, over a faint rush."""
    noise = 0.05 * _shaped(rng, length, 0.5, 100, 7000)
    for start in rng.integers(0, length, max(3, rng.poisson(4 * length / RATE))):
        t = _seconds(min(length - int(start), RATE // 2))
        ring = sum(
            np.sin(2 * np.pi * rng.uniform(900, 6500) * t) * np.exp(-t * rng.uniform(12, 60))
            for _ in range(6)
        )
        noise[start : start + len(t)] += ring * rng.lognormal(0, 0.7)
    return noise


def _music(rng: np.random.Generator, length: int) -> Wave:
    """Radio-like music: random chords with harmonics, a bass note and a beat."""
    beat = RATE * 60 // int(rng.integers(90, 130))
    noise = np.zeros(length)
    for start in range(0, length, beat):
        t = _seconds(min(beat, length - start))
        root = 110 * 2 ** (rng.choice(MUSIC_KEYS) / 12)
        tones = [root, *(root * 2 ** (1 + rng.choice(MUSIC_KEYS, 3) / 12))]
        chord = sum(np.sin(2 * np.pi * k * f * t) / k**1.3 for f in tones for k in range(1, 7))
        drum = rng.standard_normal(len(t)) * np.exp(-t * 40)
        noise[start : start + len(t)] += chord * np.exp(-t * 2) + drum
    return noise


def _babble(rng: np.random.Generator, length: int, talkers: Sequence[Samples]) -> Wave:
    """Six people talking at once: clips cut at random places and summed."""
    if not talkers:
        raise ValueError("babble needs clips of speech to be made from")
    noise = np.zeros(length)
    for _ in range(6):
        order = rng.permutation(len(talkers))
        stream = np.concatenate([talkers[i] for i in order])
        stream = np.tile(stream, 1 + length // len(stream))
        noise += np.roll(stream, int(rng.integers(len(stream))))[:length] * rng.uniform(0.5, 1.0)
    return noise


KINDS: dict[str, Callable[[np.random.Generator, int], Wave]] = {
    "hood": _hood,
    "dish_machine": _dish_machine,
    "clatter": _clatter,
    "music": _music,
}
"""The noises that need nothing but a seed. ``babble`` comes on top; it needs talkers."""
