"""Kept sound: whole, exact, on the disk before its entry."""

from __future__ import annotations

import hashlib

import numpy as np
import pytest
import soundfile

from assistant.errors import InputError
from assistant.logbook import Clip, Logbook

TONE = (np.sin(np.arange(8000) / 9) * 9000).astype(np.int16)


def test_a_clip_keeps_every_sample(log: Logbook) -> None:
    """FLAC is exact; read back with soundfile."""
    clip = log.keep_clip(TONE, 16000)
    samples, rate = soundfile.read(log.clip_path(clip), dtype="int16")
    assert rate == 16000
    assert np.array_equal(samples, TONE)


def test_a_clip_lies_in_the_folder_of_its_day_with_its_hash(log: Logbook) -> None:
    """The hash is of the file's bytes."""
    clip = log.keep_clip(TONE, 16000)
    assert clip.path.startswith("2026-03-02/093000-")
    assert clip.sha256 == hashlib.sha256(log.clip_path(clip).read_bytes()).hexdigest()


def test_no_unfinished_file_is_left(log: Logbook) -> None:
    """The part file is renamed."""
    clip = log.keep_clip(TONE, 16000)
    assert [path.name for path in log.clip_path(clip).parent.iterdir()] == [clip.path.split("/")[1]]


@pytest.mark.parametrize(
    ("samples", "rate"),
    [(TONE[:0], 16000), (TONE.astype(np.float32), 16000), (TONE.reshape(2, -1), 16000), (TONE, 0)],
)
def test_other_sound_is_refused(log: Logbook, samples: np.ndarray, rate: int) -> None:
    """Empty, float, stereo, no rate."""
    with pytest.raises(InputError, match="16-bit mono"):
        log.keep_clip(samples, rate)


@pytest.mark.parametrize("path", ["../secret.flac", "/etc/passwd", "a/../../b.flac", "C:\\x.flac", ""])
def test_a_clip_path_never_leaves_the_clips_folder(log: Logbook, path: str) -> None:
    """An altered log cannot make the page hand out other files."""
    with pytest.raises(InputError, match="leaves the clips folder"):
        log.clip_path(Clip(path=path, sha256="0" * 64))
