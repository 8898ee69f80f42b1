"""The command model made here: whole, small, loaded by the stock library, hearing sound that was spoken.

Sound: the project's own synthetic clips; voice and licence of each are in audio_fixtures/manifest.csv.
"""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest
import soundfile
import vosk

MODEL = Path(__file__).parents[2] / "models" / "kitchen_en"
CLIPS = Path(__file__).parents[2] / "audio_fixtures"


def heard(clip: str, phrases: list[str] | None) -> str:
    """Return the words of one clip, with phrases given at run time or with the model's own."""
    vosk.SetLogLevel(-1)
    model = vosk.Model(str(MODEL))
    listener = (
        vosk.KaldiRecognizer(model, 16000, json.dumps(phrases))
        if phrases
        else vosk.KaldiRecognizer(model, 16000)
    )
    samples, rate = soundfile.read(CLIPS / clip, dtype="int16")
    assert rate == 16000
    listener.AcceptWaveform(samples.tobytes())
    return str(json.loads(listener.FinalResult())["text"])


def test_every_file_is_the_one_on_the_card() -> None:
    """SHA256SUMS lists all files of the model with their true checksums."""
    listed = dict(reversed(line.split()) for line in (MODEL / "SHA256SUMS").read_text().splitlines())
    for name, checksum in listed.items():
        assert hashlib.sha256((MODEL / name).read_bytes()).hexdigest() == checksum, name
    files = {p.relative_to(MODEL).as_posix() for d in ("am", "conf", "graph") for p in (MODEL / d).iterdir()}
    assert files == set(listed)


def test_the_folder_stays_small() -> None:
    """At most 25 MB travel with the program."""
    assert sum(p.stat().st_size for p in MODEL.rglob("*") if p.is_file()) <= 25_000_000


def test_it_hears_a_question_with_its_own_phrases() -> None:
    """Without a grammar the shipped bigram decides."""
    assert "ground beef" in heard("demo/cook_ground_beef.flac", None)


@pytest.mark.parametrize("phrases", [["where does the ground beef go", "why", "stop", "[unk]"]])
def test_it_takes_phrases_at_run_time(phrases: list[str]) -> None:
    """A site's own phrases need no rebuild."""
    assert heard("demo/cook_ground_beef.flac", phrases) == "where does the ground beef go"


def test_other_speech_falls_to_unknown() -> None:
    """With only two short commands to choose from, a long question is neither of them."""
    assert "[unk]" in heard("demo/cook_ground_beef.flac", ["yes", "stop", "[unk]"])
