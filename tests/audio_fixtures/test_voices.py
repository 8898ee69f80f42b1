"""The voice table and what is done to every spoken clip."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from audio_fixtures import voices as module
from audio_fixtures.voices import KEPT, LEVEL, RATE, Speaker, Voice, level, voices


def test_each_family_has_voices_in_both_halves() -> None:
    """Thresholds set on one half can be reported on the other for every family."""
    families = {voice.family for voice in voices().values()}
    for family in families:
        assert {v.half for v in voices().values() if v.family == family} == {"tune", "report"}


def test_table_with_a_kept_voice_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Also when the kept voice hides behind another name."""
    rows = (module.FOLDER / "voices.csv").read_text().splitlines()
    kept = sorted(KEPT)[0]
    sneaked = f"other,kokoro,{kept},neural,female,us,tune,licence,source"
    (tmp_path / "voices.csv").write_text("\n".join([*rows, sneaked]))
    monkeypatch.setattr(module, "FOLDER", tmp_path)
    voices.cache_clear()
    try:
        with pytest.raises(ValueError, match=kept):
            voices()
    finally:
        monkeypatch.undo()
        voices.cache_clear()


def test_speaker_refuses_a_kept_voice(tmp_path: Path) -> None:
    """Even one that was never in the table."""
    kept = Voice("am_puck", "kokoro", "am_puck", "neural", "male", "us", "tune", "", "")
    with pytest.raises(ValueError, match="kept for judging"):
        Speaker(None, tmp_path).speak("walk in thirty eight", kept)


def test_level_trims_silence_and_sets_loudness() -> None:
    """A quiet tone in three seconds of silence becomes one of known level with known silence around it."""
    tone = 0.01 * np.sin(np.arange(RATE) / 5)
    samples = level(np.pad(tone, RATE).astype(np.float32))
    speech = samples[RATE // 4 : -RATE * 7 // 20]
    assert len(speech) == pytest.approx(RATE, abs=RATE // 10)
    assert np.sqrt(np.mean(speech**2)) == pytest.approx(LEVEL, rel=0.05)


def test_silence_is_refused() -> None:
    """A synthesiser that made nothing is a fault, not a clip."""
    with pytest.raises(ValueError, match="silence"):
        level(np.zeros(RATE, np.float32))
