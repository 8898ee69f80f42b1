"""Real human speech: the public test recordings of Debian's package pocketsphinx-testdata (BSD licence).

Source of sound and transcripts: that package, folders cards and librivox, and the file goforward.raw,
whose words are in goforward.gram. Nothing of it is copied into the project.
"""

import re
from pathlib import Path

import numpy as np
import pytest

from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import Utterance
from assistant.speech.recogniser import recognise
from assistant.speech.whisper import WhisperRecogniser
from tests.benchmarks.human_speech import errors

DATA = Path("/usr/share/pocketsphinx/test/data")
DIGITS = dict(zip("0123456789", "zero one two three four five six seven eight nine".split(), strict=True))

pytestmark = [
    pytest.mark.sound,
    pytest.mark.skipif(
        not DATA.is_dir(), reason="needs human recordings: install the Debian package pocketsphinx-testdata"
    ),
]


@pytest.fixture(scope="module")
def whisper() -> WhisperRecogniser:
    """Return the embedded recogniser without any hints."""
    return WhisperRecogniser()


def words(text: str) -> list[str]:
    """Return the words of a text, digits written out, so that spelling does not count."""
    spelled = re.sub(r"10", " ten ", text).replace("mister", "mr")
    return re.sub(r"\d", lambda digit: f" {DIGITS[digit.group()]} ", spelled).replace("-", " ").split()


def transcripts() -> dict[Path, str]:
    """Return what is said in each recording that has a transcript."""
    found = {}
    for folder, name in (("cards", "cards.transcription"), ("librivox", "transcription")):
        for line in (DATA / folder / name).read_text().splitlines():
            match = re.fullmatch(r"<s>\s*(.*?)\s*</s>\s*\((.*)\)", line.strip())
            assert match is not None
            found[DATA / folder / f"{match[2]}.wav"] = match[1]
    return found


def test_the_measure_itself():
    """One word changed, one dropped, one added."""
    assert errors("a b c".split(), "a x c".split()) == 1
    assert errors("a b c".split(), "a c".split()) == 1
    assert errors([], "a".split()) == 1


def test_ten_public_recordings_of_people(whisper):
    """At most 15 words in a hundred are wrong over 92 words by several speakers."""
    said = transcripts()
    assert len(said) == 10
    wrong = total = 0
    for path, text in said.items():
        wrong += errors(words(text), words(recognise(whisper, read_sound(path)).best))
        total += len(words(text))
    assert total == 92
    assert wrong / total <= 0.15


def test_a_spoken_command_with_a_number(whisper):
    """Go forward ten meters: every word and the number."""
    samples = np.fromfile(DATA / "goforward.raw", "<i2").astype(np.int16)
    heard = recognise(whisper, Utterance(samples))
    assert words(heard.best) == "go forward ten meters".split()
