"""The committed clips: each is listed, synthetic, small, in the right form, and by no kept voice."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import numpy as np
import pytest
import soundfile

from audio_fixtures.make_clips import COLUMNS, read_lines, row
from audio_fixtures.voices import FOLDER, KEPT, LEVEL, RATE, voices

with (FOLDER / "manifest.csv").open(encoding="utf-8", newline="") as table:
    MANIFEST = list(csv.DictReader(table))
CLIPS = [FOLDER / clip["file"] for clip in MANIFEST]


def test_manifest_lists_exactly_the_files_that_exist() -> None:
    """No clip lacks a row, no row lacks its clip."""
    assert sorted(CLIPS) == sorted(FOLDER.rglob("*.flac"))


def test_manifest_is_what_the_script_writes() -> None:
    """Text, intent and slots in the manifest are those of lines.csv."""
    assert [row(line, voices()[line.voice]) for line in read_lines()] == MANIFEST


def test_every_row_is_filled_and_says_that_it_is_synthetic() -> None:
    """Only the intent (chatter has none) and what was said before may be empty."""
    for clip in MANIFEST:
        assert list(clip) == COLUMNS
        may_be_empty = {"intent", "before"}
        assert all(value for column, value in clip.items() if column not in may_be_empty), clip["file"]
        assert clip["kind"] == "synthetic"
        assert isinstance(json.loads(clip["slots"]), dict)


def test_at_least_eighty_clips_by_many_voices_of_every_family_and_both_sexes() -> None:
    """Robotic and neural voices, women and men."""
    assert len(MANIFEST) >= 80
    assert len({clip["voice"] for clip in MANIFEST}) >= 8
    spoken = {(clip["family"], clip["sex"]) for clip in MANIFEST}
    assert spoken >= {(family, sex) for family in ("neural", "formant") for sex in ("female", "male")}


def test_no_kept_voice_speaks() -> None:
    """The six voices kept for judging appear nowhere."""
    used = {clip["voice"] for clip in MANIFEST} | {voice.engine_voice for voice in voices().values()}
    assert not used & KEPT


def test_clips_stay_under_fifteen_mebibytes() -> None:
    """A clone stays small."""
    assert sum(clip.stat().st_size for clip in CLIPS) < 15 * 2**20


@pytest.mark.parametrize("clip", CLIPS, ids=lambda clip: f"{clip.parent.name}/{clip.stem}")
def test_clip_is_16_khz_mono_flac_of_sane_length_and_level(clip: Path) -> None:
    """Half a second to eight seconds, speech at the common level, nothing clipped."""
    info = soundfile.info(clip)
    assert (info.samplerate, info.channels, info.format, info.subtype) == (RATE, 1, "FLAC", "PCM_16")
    assert 0.6 <= info.duration <= 8
    samples, _ = soundfile.read(clip, dtype="float32")
    speech = samples[RATE // 4 : -RATE * 7 // 20]
    assert 0.5 * LEVEL < np.sqrt(np.mean(speech**2)) < 1.1 * LEVEL
    assert np.abs(samples).max() < 0.99
