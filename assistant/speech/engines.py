"""Chooses the recogniser: by name, or the best one whose model is installed."""

from __future__ import annotations

from assistant.errors import InputError
from assistant.speech.recogniser import Recogniser
from assistant.speech.vocabulary import Vocabulary

ENGINES = ("whisper", "vosk")


def open_engine(name: str, vocabulary: Vocabulary, language: str = "en") -> Recogniser:
    """Return the recogniser ``name``; empty: the default among those installed.

    Raises ``InputError`` for an unknown name, ``MissingError`` where the model is not installed.
    """
    if name and name not in ENGINES:
        raise InputError(f"No recogniser is called '{name}'. Use one of: {', '.join(ENGINES)}.")
    from assistant.speech.whisper import WhisperRecogniser

    return WhisperRecogniser(vocabulary=vocabulary)
