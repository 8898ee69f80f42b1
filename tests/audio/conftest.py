"""Sound for the tests of the audio parts: committed synthetic clips and made noise."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE, Samples

CLIPS = Path(__file__).parents[2] / "audio_fixtures"


@pytest.fixture(scope="session")
def clip() -> Callable[[str], Samples]:
    """Return a function that gives the samples of a committed synthetic clip."""
    return lambda name: read_sound(CLIPS / f"{name}.flac").samples


@pytest.fixture(scope="session")
def quiet() -> Callable[[float], Samples]:
    """Return a function that gives so many seconds of faint room noise, seeded."""

    def make(seconds: float) -> Samples:
        return np.random.default_rng(1).normal(0, 20, int(seconds * RATE)).astype(np.int16)

    return make
