"""Numbers by a human voice: recorded words of Debian's package asterisk-core-sounds-en-wav (CC BY-SA 3.0).

What is said follows from the file names ("40.wav"); joined as tests/benchmarks/human_speech.py says, at 8 kHz
as a telephone has it. Nothing of it is copied into the project.
"""

from pathlib import Path

import pytest

from assistant.speech.engines import open_engine
from assistant.speech.recogniser import recognise
from tests.benchmarks.human_speech import errors, in_words, numbers, words

SOUNDS = Path("/usr/share/asterisk/sounds")

pytestmark = pytest.mark.sound


@pytest.mark.skipif(
    not SOUNDS.is_dir(),
    reason="needs human recordings: install the Debian package asterisk-core-sounds-en-wav",
)
def test_forty_numbers_by_a_person():
    """The taught listener hears at least 38 of 40 numbers wholly right."""
    recogniser = open_engine("whisper-kitchen-en-3")
    wrong = [
        errors(words(said), words(recognise(recogniser, sound).best)) for said, sound in numbers(SOUNDS, 40)
    ]
    assert len(wrong) == 40
    assert wrong.count(0) >= 38


@pytest.mark.parametrize(
    ("number", "said"),
    [(0, "zero"), (17, "seventeen"), (40, "forty"), (41, "forty one"), (305, "three hundred five")],
)
def test_numbers_in_words(number, said):
    """The measure's own spelling."""
    assert in_words(number) == said
