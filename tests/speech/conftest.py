"""Synthetic speech for the tests: the program's own robotic voice, so that nothing else is needed."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import Utterance
from assistant.speech.spoken_voice import SpokenVoice
from assistant.speech.voice import VoiceSettings


@pytest.fixture(scope="session")
def voice() -> Iterator[SpokenVoice]:
    """Return one running voice for all tests."""
    spoken = SpokenVoice()
    yield spoken
    spoken.close()


@pytest.fixture(scope="session")
def said(voice: SpokenVoice, tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Utterance]:
    """Return a function that says a text and gives the sound as a microphone would."""
    folder: Path = tmp_path_factory.mktemp("said")

    def say(text: str, settings: VoiceSettings | None = None) -> Utterance:
        voice.speak_to_file(text, folder / "said.wav", settings)
        return read_sound(folder / "said.wav")

    return say
