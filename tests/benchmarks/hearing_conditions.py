"""What stands between a voice and the microphone: seeded noise at five levels, and a room."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

from audio_fixtures import noise, rooms
from audio_fixtures.voices import FOLDER, RATE, Samples

TALK = (
    "answer", "chatter", "cooking", "cooling", "correction", "date", "demo", "dish_machine", "hands",
    "holding", "log", "mix", "sanitizer_reading", "storage", "temperature_reading", "thaw",
)  # fmt: skip
"""Folders of committed clips that make up the babble; new folders would change every trial."""
NOISES = (*noise.KINDS, "babble")


@dataclass(frozen=True, slots=True)
class Condition:
    """A name for the table, the ratio of speech to noise (none when clean), and whether in a room."""

    name: str
    snr_db: float | None = None
    room: bool = False


CONDITIONS = (
    Condition("clean"),
    Condition("20 dB", 20),
    Condition("10 dB", 10),
    Condition("5 dB", 5),
    Condition("0 dB", 0),
    Condition("room", None, True),
    Condition("room 10 dB", 10, True),
)


@cache
def talkers() -> tuple[Samples, ...]:
    """The people of the babble: the committed clips, whatever they say."""
    import soundfile

    clips = sorted(clip for name in TALK for clip in (FOLDER / name).glob("*.flac"))
    return tuple(soundfile.read(clip, dtype="float32")[0] for clip in clips)


def noise_for(key: str) -> str:
    """The kind of noise that a clip gets: one of five, by its name, so that all are used equally."""
    return NOISES[zlib.crc32(key.encode()) % len(NOISES)]


def disturb(speech: Samples, condition: Condition, key: str) -> npt.NDArray[np.int16]:
    """Return ``speech`` under ``condition`` as 16-bit samples. ``key`` seeds and picks the noise."""
    if condition.room:
        speech = rooms.respond(speech)
    if condition.snr_db is not None:
        seed = zlib.crc32(f"{key} {condition.name}".encode())
        kind = noise_for(key)
        people = talkers() if kind == "babble" else ()
        speech = noise.mix(speech, noise.make(kind, len(speech) / RATE + 0.1, seed, people), condition.snr_db)
    return np.rint(np.clip(speech, -1, 1) * 32767).astype(np.int16)
